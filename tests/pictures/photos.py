"""Small pictures encoded as phones and attackers would send them."""

import io

import numpy as np
import pytest
from PIL import Image

from configurator.pictures.photos import PhotoRefused, process_photo

LIMITS = {"max_bytes": 15_000_000, "max_pixels": 60_000_000}


SECRET = b"SECRET-PLACE"


RED, GREEN, BLUE, WHITE = (220, 30, 30), (30, 160, 60), (40, 60, 200), (250, 250, 250)


def quadrants(width=120, height=80):
    """Return a picture whose four corners differ: red, green over blue, white."""
    image = Image.new("RGB", (width, height))
    for number, colour in enumerate((RED, GREEN, BLUE, WHITE)):
        x, y = number % 2 * width // 2, number // 2 * height // 2
        image.paste(colour, (x, y, x + width // 2, y + height // 2))
    return image


def encoded(image, kind="JPEG", **options):
    out = io.BytesIO()
    if kind == "JPEG":
        options = {"quality": 95, "subsampling": 0} | options
    image.save(out, kind, **options)
    return out.getvalue()


def opened(data):
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


def corners(image):
    w, h = image.size
    return [image.getpixel(at) for at in ((8, 8), (w - 9, 8), (8, h - 9), (w - 9, h - 9))]


def close(found, expected, by=14):
    return np.abs(np.array(found, int) - np.array(expected, int)).max() <= by


def clean(data, **options):
    done = process_photo(data, **(LIMITS | options))
    return done, opened(done.jpeg)


def refused(data, **options):
    with pytest.raises(PhotoRefused) as caught:
        process_photo(data, **(LIMITS | options))
    return str(caught.value)


def packed(write):
    out = io.BytesIO()
    write(out)
    return out.getvalue()
