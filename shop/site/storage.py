"""Where files go: a folder of one machine, or a private bucket that many machines share."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from django.core.exceptions import ImproperlyConfigured

PLAIN_STATIC = "django.contrib.staticfiles.storage.StaticFilesStorage"
HASHED_STATIC = "whitenoise.storage.CompressedManifestStaticFilesStorage"


def storages(url: str, *, static: Path, collecting: bool = False) -> dict[str, dict[str, Any]]:
    """Return Django's ``STORAGES`` for ``KERBLINE_STORAGE``.

    Empty is the folder ``MEDIA_ROOT`` that only this program's user may read. ``s3://BUCKET[/FOLDER][?endpoint=URL&region=NAME]``
    is a bucket that speaks S3; keys come from the usual ``AWS_ACCESS_KEY_ID`` and ``AWS_SECRET_ACCESS_KEY``.
    Files stay private: the site checks who asks and passes them on. Static files carry a digest in their
    names once ``collectstatic`` has been run (``collecting``: it is running). Raises ImproperlyConfigured
    for any other address.
    """
    collected = collecting or (static / "staticfiles.json").exists()
    return {
        "default": _bucket(url) if url else _folder(),
        "staticfiles": {"BACKEND": HASHED_STATIC if collected else PLAIN_STATIC},
    }


def _folder() -> dict[str, Any]:
    """Below MEDIA_ROOT, for this program's user alone."""
    return {
        "BACKEND": "shop.site.folders.Folder",
        "OPTIONS": {
            "file_permissions_mode": 0o600,
            "directory_permissions_mode": 0o700,
        },
    }


def _bucket(url: str) -> dict[str, Any]:
    parts = urlsplit(url)
    if parts.scheme != "s3" or not parts.netloc:
        raise ImproperlyConfigured(
            "KERBLINE_STORAGE must be s3://BUCKET[/FOLDER][?endpoint=URL&region=NAME], or empty."
        )
    asked = parse_qs(parts.query)
    unknown = set(asked) - {"endpoint", "region"}
    if unknown:
        raise ImproperlyConfigured(f"KERBLINE_STORAGE: unknown {', '.join(sorted(unknown))}.")
    return {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": {
            "bucket_name": parts.netloc,
            "location": parts.path.strip("/"),
            "endpoint_url": asked.get("endpoint", [None])[0],
            "region_name": asked.get("region", [None])[0],
            "default_acl": "private",
            "file_overwrite": False,
            "querystring_auth": True,
        },
    }
