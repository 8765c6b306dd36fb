"""What a post says of the choices alone, so that a build can be sent as stored without reading it again."""

from __future__ import annotations

import hashlib
import json

from django.http import QueryDict

from .forms_contact import KEEP, KEPT

BESIDE = frozenset(
    {*KEPT, KEEP, "consent", "terms_version", "privacy_version", "asked", "catalogue_version", "based_on",
     "csrfmiddlewaretoken", "do", "build_name", "rear_shown", "seen"}
)  # fmt: skip
"""Fields of the page's one form that choose nothing."""


def choices_digest(posted: QueryDict) -> str:
    """Return a digest of every field that may choose something; two posts that share it choose the same."""
    said = sorted(
        (name, values) for name, values in posted.lists() if name not in BESIDE and not name.endswith("-seen")
    )
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()
