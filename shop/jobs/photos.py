"""Photos that staff take of a job, made safe like a customer's."""

from __future__ import annotations

from django.conf import settings
from django.core.files.base import ContentFile

from configurator.pages.told import told
from configurator.pictures.photos import PhotoRefused, process_photo

from .errors import UnmetError


def cleaned(data: bytes, field: str) -> ContentFile[bytes]:
    """Return the clean copy as a file to be kept; raise ``UnmetError`` at the field when it is none."""
    try:
        done = process_photo(
            data,
            max_bytes=settings.KERBLINE_PHOTO_MAX_BYTES,
            max_pixels=settings.KERBLINE_PHOTO_MAX_PIXELS,
        )
    except PhotoRefused as refusal:
        raise UnmetError(told(refusal.said), field) from refusal
    return ContentFile(done.jpeg)
