"""Parts of a photo made unreadable: a number plate, a face, a sign on a neighbour's house.

A photo is 12 squares across, A to L, and 8 down, 1 to 8, as our pictures of vehicles are. A square that is
covered keeps one colour, the mean of what was there: nothing of it can be worked back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from io import BytesIO

from PIL import Image

from .photos import JPEG_QUALITY
from .refusals import PhotoRefused

COLUMNS, ROWS = "ABCDEFGHIJKL", "12345678"
SQUARE = re.compile(rf"[{COLUMNS}][{ROWS}]")
SQUARES = tuple(f"{column}{row}" for row in ROWS for column in COLUMNS)


def cover(jpeg: bytes, squares: Iterable[str]) -> bytes:
    """Return a clean JPEG with these squares covered; words that name no square are passed over.

    ``jpeg`` is what `photos.process_photo` made; raises `PhotoRefused` when it is no JPEG.
    """
    try:
        with Image.open(BytesIO(jpeg), formats=("JPEG",)) as opened:
            image = opened.convert("RGB")
    except Exception as error:
        raise PhotoRefused("photo_damaged") from error
    for square in sorted({one for one in squares if SQUARE.fullmatch(one)}):
        box = box_of(square, image.size)
        mean = image.crop(box).resize((1, 1), Image.Resampling.BOX)
        image.paste(mean.resize((box[2] - box[0], box[3] - box[1])), box)
    out = BytesIO()
    image.save(out, "JPEG", quality=JPEG_QUALITY, optimize=True)
    return out.getvalue()


def box_of(square: str, size: tuple[int, int]) -> tuple[int, int, int, int]:
    """Return left, top, right and bottom of a square in pixels; neighbours share their edges."""
    x, y = COLUMNS.index(square[0]), ROWS.index(square[1])
    width, height = size
    return (
        x * width // len(COLUMNS),
        y * height // len(ROWS),
        (x + 1) * width // len(COLUMNS),
        (y + 1) * height // len(ROWS),
    )
