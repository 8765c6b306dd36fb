"""Parts of a photo made unreadable: one colour to a square, and nothing left to work back."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image

from configurator.pictures.covering import COLUMNS, ROWS, SQUARES, box_of, cover
from configurator.pictures.photos import PhotoRefused


def noisy(size: tuple[int, int] = (640, 427)) -> bytes:
    out = BytesIO()
    Image.effect_noise(size, 90).convert("RGB").save(out, "JPEG", quality=90)
    return out.getvalue()


def spread(image: Image.Image, box: tuple[int, int, int, int]) -> int:
    """Return how far apart the lightest and the darkest grey within a box are."""
    # JPEG bleeds over its own blocks of 16 pixels at the edges.
    inner = (box[0] + 16, box[1] + 16, box[2] - 16, box[3] - 16)
    low, high = image.convert("L").crop(inner).getextrema()
    return int(high) - int(low)  # type: ignore[arg-type]


def test_covered_squares_are_flat_and_the_others_as_they_were() -> None:
    before = noisy()
    after = Image.open(BytesIO(cover(before, ["C3", "L8", "A1"])))
    assert after.size == (640, 427)
    for square in ("C3", "L8", "A1"):
        assert spread(after, box_of(square, after.size)) <= 6, square
    for square in ("D3", "C4", "B2", "K7"):
        assert spread(after, box_of(square, after.size)) > 60, square


def test_the_squares_cover_the_whole_picture_and_no_pixel_twice() -> None:
    size = (641, 379)
    boxes = [box_of(square, size) for square in SQUARES]
    assert len(boxes) == len(COLUMNS) * len(ROWS)
    assert sum((r - x) * (b - y) for x, y, r, b in boxes) == size[0] * size[1]


def test_words_that_are_no_squares_cover_nothing_and_no_jpeg_is_refused() -> None:
    image = Image.open(BytesIO(cover(noisy(), ["M1", "A9", "a1", "", "A11"])))
    assert all(spread(image, box_of(square, image.size)) > 60 for square in ("A1", "L8", "A8"))
    with pytest.raises(PhotoRefused):
        cover(b"no picture", ["A1"])
