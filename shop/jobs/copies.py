"""Working copies: the reviewer chooses on the customer's own page, on a copy of the job's build.

So a build is amended as it is built: only what fits, each choice with its price, and nothing stated that the
customer did not state. A copy belongs to one revision; when that is no longer worked on it is left alone.
"""

from __future__ import annotations

from django.db import transaction
from django.urls import reverse

from configurator.builds.selection import Selection
from configurator.builds.service import working_copy
from configurator.catalogue import snapshot
from configurator.models import Spec

from .models import Job


def page_of(job: Job) -> str:
    """Return the address that a copy of the job's build goes back to."""
    return reverse("shop:amend", args=[job.number]) + f"?revision={job.revision.number}"


def copy_of(job: Job) -> Spec | None:
    """Return the copy on which somebody is choosing for the revision that is worked on, if any."""
    return Spec.objects.filter(back_to=page_of(job), sent_at=None).order_by("-pk").first()


@transaction.atomic
def begin_copy(job: Job, language: str) -> Spec:
    """Begin choosing anew from the job's build as it is."""
    Spec.objects.filter(back_to=page_of(job), sent_at=None).delete()
    selection = Selection.model_validate(job.revision.selection)
    return working_copy(selection=selection, language=language, name=job.number, back_to=page_of(job))


def can_choose(job: Job) -> bool:
    """Whether the customer's page knows the vehicle."""
    return job.revision.selection.get("generation") in snapshot.current().generations


def chosen(copy: Spec) -> Selection:
    """Return what is chosen on a copy."""
    return Selection.model_validate(copy.selection)
