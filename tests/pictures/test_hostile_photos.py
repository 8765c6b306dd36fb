"""What is no honest photo is refused in plain words, before it costs anything."""

import gzip
import io
import struct
import zipfile
import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin

from configurator.pictures import photos
from configurator.pictures.photos import PhotoRefused, process_photo

from .photos import encoded, opened, packed, quadrants, refused


def png_header(width, height):
    """Return a PNG that is all header: the size is a claim, there are no pixels behind it."""

    def chunk(name, body):
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0")) + chunk(b"IEND", b"")


@pytest.mark.parametrize("size", [(8001, 7500), (20_000, 20_000), (2**31 - 1, 2**31 - 1), (2_000_000, 40)])
def test_a_header_that_claims_too_many_pixels_is_refused_before_decoding(size, monkeypatch):
    monkeypatch.setattr(Image.Image, "load", lambda self: pytest.fail("decoded"))
    assert "million pixels" in refused(png_header(*size))


@pytest.mark.long
@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
def test_a_real_decompression_bomb_is_refused():
    bomb = encoded(Image.new("1", (12_000, 12_000)), "PNG")
    assert len(bomb) < 50_000
    assert "60 million pixels" in refused(bomb)


@pytest.mark.long
def test_a_text_chunk_that_unpacks_to_much_is_refused():
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", "A" * 80_000_000, zip=True)
    data = encoded(quadrants(), "PNG", pnginfo=info)
    assert len(data) < 200_000
    assert "damaged" in refused(data)


def test_a_jpeg_of_endless_scans_is_refused_before_decoding(monkeypatch):
    """Each scan of a progressive JPEG is one more pass over all pixels."""
    data = encoded(quadrants(), progressive=True)
    start = data.index(b"\xff\xda")
    monkeypatch.setattr(Image.Image, "load", lambda self: pytest.fail("decoded"))
    assert "damaged" in refused(data[:start] + data[start:-2] * 60 + data[-2:])


@pytest.mark.long
def test_many_scans_of_a_large_photo_are_refused_by_their_product(monkeypatch):
    """What a decoder has to do is scans times pixels: each bound alone lets too much through together."""
    data = encoded(Image.new("RGB", (6000, 5000)), progressive=True)
    start = data.index(b"\xff\xda")
    ordinary = data.count(b"\xff\xda")
    assert ordinary * 6000 * 5000 < photos.MAX_SCANNED_PIXELS
    more = data[:start] + data[start:-2] * (60 // ordinary) + data[-2:]
    assert more.count(b"\xff\xda") <= photos.MAX_JPEG_SCANS
    monkeypatch.setattr(Image.Image, "load", lambda self: pytest.fail("decoded"))
    assert "damaged" in refused(more)


def test_the_limit_in_bytes_is_told_in_megabytes():
    assert "larger than 3 MB" in refused(b"\xff\xd8" + b"x" * 3_000_000, max_bytes=3_000_000)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.7, 0.97])
def test_truncated_files_are_refused(kind, share):
    noise = Image.fromarray(np.random.default_rng(1).integers(0, 255, (90, 90, 3), np.uint8))
    data = encoded(noise, kind)
    message = refused(data[: int(len(data) * share)])
    assert "send it again" in message


DISGUISED = {
    "empty": (b"", "empty"),
    "text": (b"hello, this is a photo.jpg", "not a photo"),
    "svg": (
        b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" onload="x()"/>',
        "drawing or a web",
    ),
    "html": (b"\n<!DOCTYPE html><html><script>x()</script>", "drawing or a web"),
    "pdf": (b"%PDF-1.7\n%\xe2\xe3", "PDF"),
    "zip": (packed(lambda out: zipfile.ZipFile(out, "w").writestr("a.jpg", b"x")), "archive"),
    "gzip": (gzip.compress(b"x"), "archive"),
    "gif": (encoded(quadrants(), "GIF"), "GIF"),
    "tiff": (encoded(quadrants(), "TIFF"), "TIFF"),
    "bmp": (encoded(quadrants(), "BMP"), "bitmap"),
    "heic": (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"\x00" * 60, "phone's camera settings"),
    "heif": (b"\x00\x00\x00\x18ftypmif1\x00\x00\x00\x00mif1heic" + b"\x00" * 60, "phone's camera settings"),
    "avif": (b"\x00\x00\x00\x18ftypavif\x00\x00\x00\x00mif1miaf" + b"\x00" * 60, "AVIF"),
    "mp4": (b"\x00\x00\x00\x18ftypisom\x00\x00\x00\x00isommp42", "video"),
    "webm": (b"\x1aE\xdf\xa3\x01\x00", "video"),
    "jxl": (b"\xff\x0a\x00\x00", "JPEG XL"),
    "eps": (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 99 99\n", "not a photo"),
    "ppm": (b"P6 64 64 255\n" + b"\0" * 64 * 64 * 3, "not a photo"),
    "tga": (encoded(quadrants(), "TGA"), "not a photo"),
    "icon": (encoded(quadrants(), "ICO"), "not a photo"),
}


def test_a_heic_larger_than_allowed_is_refused_by_its_header():
    out = io.BytesIO()
    quadrants(400, 300).save(out, "HEIF")
    with pytest.raises(PhotoRefused, match="million pixels"):
        process_photo(out.getvalue(), max_bytes=10**6, max_pixels=10_000)


@pytest.mark.parametrize(("data", "word"), DISGUISED.values(), ids=DISGUISED)
def test_what_is_no_photo_is_named_and_refused(data, word):
    assert word in refused(data)


def test_tiny_pictures_are_refused():
    assert "too small" in refused(encoded(quadrants(20, 20)))


def test_a_refusal_is_kept_as_its_id_and_figures():
    with pytest.raises(PhotoRefused) as caught:
        process_photo(png_header(9000, 9000), max_bytes=10**6, max_pixels=60_000_000)
    assert caught.value.said.kept() == {"id": "photo_too_many_pixels", "figures": {"million_count": 60}}


BASES = [encoded(quadrants(64, 48), kind) for kind in ("JPEG", "PNG", "WEBP", "HEIF")]


@pytest.mark.long
@given(st.sampled_from(BASES), st.lists(st.tuples(st.integers(0, 4000), st.integers(0, 255)), max_size=12))
@settings(max_examples=150, deadline=None)
def test_damaged_bytes_give_a_photo_or_a_refusal_and_nothing_else(base, changes):
    data = bytearray(base)
    for place, value in changes:
        data[place % len(data)] = value
    try:
        done = process_photo(bytes(data), max_bytes=10**6, max_pixels=10**6)
    except PhotoRefused:
        return
    assert opened(done.jpeg).size == (done.width, done.height)
