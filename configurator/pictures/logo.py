"""A workshop's logo made safe: a still PNG, JPEG or WebP in, one plain PNG out that keeps its transparency.

The same care as for photos: the size is checked from the header, and what comes out is drawn afresh.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

from PIL import Image

from .refusals import PhotoRefused, refuse_animation, refuse_damaged, refuse_unread

FORMATS = ("PNG", "JPEG", "WEBP")
MAX_BYTES, MAX_PIXELS = 5_000_000, 16_000_000
TOO_LARGE = "This file is larger than 5 MB. Save the logo smaller; 720 pixels wide is enough."
TOO_MANY = "This picture has too many pixels. Save the logo smaller; 720 pixels wide is enough."
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
        raise PhotoRefused(TOO_LARGE)
    try:
        image = Image.open(BytesIO(data), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PhotoRefused(TOO_MANY) from error
    except Exception as error:  # parsers of hostile headers fail in many ways
        raise refuse_unread(data) from error
    if image.width * image.height > MAX_PIXELS:
        raise PhotoRefused(TOO_MANY)
    if getattr(image, "is_animated", False):
        raise refuse_animation()
    try:
        clear = image.convert("RGBA")
    except Exception as error:
        raise refuse_damaged() from error
    clear.thumbnail(BOX_PX, Image.Resampling.LANCZOS)
    fresh = Image.new("RGBA", clear.size)
    fresh.paste(clear)
    out = BytesIO()
    fresh.save(out, "PNG", optimize=True)
    return Logo(out.getvalue(), fresh.width, fresh.height)
