"""A workshop's logo made safe: a still PNG, JPEG or WebP in, one plain PNG out that keeps its transparency.

The same care as for photos: the size is checked from the header, and what comes out is drawn afresh.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

from PIL import Image

from .refusals import PhotoRefused, refuse_unread

FORMATS = ("PNG", "JPEG", "WEBP")
MAX_BYTES, MAX_PIXELS = 5_000_000, 16_000_000
BOX_PX = (720, 160)
"""What it is fitted into: twice what the head of a page shows."""


@dataclass(frozen=True)
class Logo:
    """A clean logo: PNG bytes and its size."""

    png: bytes
    width: int
    height: int


def process_logo(data: bytes) -> Logo:
    """Return the clean copy of an uploaded logo, or raise `PhotoRefused` with what to do."""
    if len(data) > MAX_BYTES:
        raise PhotoRefused("logo_too_large", mb_count=MAX_BYTES // 1_000_000)
    try:
        image = Image.open(BytesIO(data), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PhotoRefused("logo_too_many_pixels") from error
    except Exception as error:  # parsers of hostile headers fail in many ways
        raise refuse_unread(data) from error
    if image.width * image.height > MAX_PIXELS:
        raise PhotoRefused("logo_too_many_pixels")
    if getattr(image, "is_animated", False):
        raise PhotoRefused("photo_animation")
    try:
        clear = image.convert("RGBA")
    except Exception as error:
        raise PhotoRefused("photo_damaged") from error
    clear.thumbnail(BOX_PX, Image.Resampling.LANCZOS)
    fresh = Image.new("RGBA", clear.size)
    fresh.paste(clear)
    out = BytesIO()
    fresh.save(out, "PNG", optimize=True)
    return Logo(out.getvalue(), fresh.width, fresh.height)
