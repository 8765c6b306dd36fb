"""Photos that staff take of a job, made safe like a customer's."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.files.base import ContentFile

from configurator.pages.told import told
from configurator.pictures.photos import PhotoRefused, process_photo

from .errors import UnmetError


def sent(file: Any) -> bytes:
    """Return at most one byte more of an uploaded file than allowed, so a larger one is refused unread."""
    return bytes(file.read(settings.KERBLINE_PHOTO_MAX_BYTES + 1)) if file else b""


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
