"""Customers' photos: upright, plain, small; and everything hostile refused in plain words."""

import hashlib
import io

import numpy as np
import pytest
from PIL import Image, ImageCms, PngImagePlugin

from configurator.pictures.photos import PhotoRefused, process_photo, rotate

from .photos import (
    BLUE,
    GREEN,
    RED,
    SECRET,
    WHITE,
    clean,
    close,
    corners,
    encoded,
    opened,
    quadrants,
    refused,
)


def test_a_plain_photo_comes_out_as_jpeg_with_thumbnail_and_digests():
    data = encoded(quadrants(900, 600))
    done, image = clean(data)
    assert (image.format, image.size, image.mode) == ("JPEG", (900, 600), "RGB")
    assert (done.width, done.height) == (900, 600)
    assert opened(done.thumbnail).size == (done.thumbnail_width, done.thumbnail_height) == (400, 267)
    assert done.sha256 == hashlib.sha256(done.jpeg).hexdigest()
    assert done.source_sha256 == hashlib.sha256(data).hexdigest()


@pytest.mark.long
def test_the_longest_edge_is_bounded_and_small_photos_are_not_blown_up():
    done, _ = clean(encoded(quadrants(3000, 1500)))
    assert (done.width, done.height) == (2000, 1000)
    done, _ = clean(encoded(quadrants(3000, 1500)), longest_edge_px=500)
    assert (done.width, done.height) == (500, 250)
    done, _ = clean(encoded(quadrants()))
    assert (done.width, done.height) == (120, 80)


# Exif 2.3, tag 274 (Orientation): what the value means for the stored rows and columns.
STORED = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0, 2),
    6: lambda a: np.rot90(a, 1),
    7: lambda a: a[::-1, ::-1].transpose(1, 0, 2),
    8: lambda a: np.rot90(a, -1),
}


@pytest.mark.parametrize("orientation", STORED)
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_stored_orientation_is_applied(orientation, kind):
    stored = Image.fromarray(np.ascontiguousarray(STORED[orientation](np.asarray(quadrants()))))
    exif = Image.Exif()
    exif[0x0112] = orientation
    _, image = clean(encoded(stored, kind, exif=exif))
    assert image.size == (120, 80)
    assert close(corners(image), [RED, GREEN, BLUE, WHITE])
    assert image.getexif().get(0x0112) is None


def with_metadata(kind):
    exif = Image.Exif()
    exif[0x010E] = SECRET.decode()
    exif.get_ifd(0x8825)[2] = (52.0, 30.0, 12.0)
    exif.get_ifd(0x8769)[0x9286] = SECRET
    xmp = b'<x:xmpmeta xmlns:x="adobe:ns:meta/">' + SECRET + b"</x:xmpmeta>"
    if kind == "PNG":
        text = PngImagePlugin.PngInfo()
        text.add_text("Comment", SECRET.decode())
        text.add_itxt("XML:com.adobe.xmp", xmp.decode())
        return encoded(quadrants(), kind, exif=exif, pnginfo=text)
    extra = {"comment": SECRET} if kind == "JPEG" else {}
    return encoded(quadrants(), kind, exif=exif, xmp=xmp, **extra) + b"<script>" + SECRET + b"</script>"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_no_metadata_and_nothing_hidden_behind_the_picture_survives(kind):
    data = with_metadata(kind)
    assert data.count(SECRET) >= 3
    done, image = clean(data)
    for made in (done.jpeg, done.thumbnail):
        assert SECRET not in made
        assert not any(mark in made for mark in (b"Exif", b"xmp", b"ICC_PROFILE", b"<script", b"\xff\xfe"))
    assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_a_profile_is_applied_and_then_dropped():
    """With red and blue primaries exchanged by the profile, the red corner is shown blue."""
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))
    swapped = bytearray(plain.tobytes())
    red, blue = swapped.index(b"rXYZ"), swapped.index(b"bXYZ")
    swapped[red : red + 4], swapped[blue : blue + 4] = b"bXYZ", b"rXYZ"
    _, image = clean(encoded(quadrants(), icc_profile=bytes(swapped)))
    assert "icc_profile" not in image.info
    assert image.getpixel((8, 8))[2] > 180 > 90 > image.getpixel((8, 8))[0]


@pytest.mark.parametrize(
    "profile", [b"nonsense", b"\x00" * 400, b"A" * 3_000_000], ids=["text", "zero", "huge"]
)
def test_a_broken_profile_counts_as_none(profile):
    _, image = clean(encoded(quadrants(), icc_profile=profile))
    assert close(corners(image), [RED, GREEN, BLUE, WHITE])


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")
def test_a_broken_exif_block_counts_as_none():
    data = encoded(quadrants(), exif=b"Exif\x00\x00II*\x00\xff\xff\xff\xff" + b"\xff" * 40)
    _, image = clean(data)
    assert close(corners(image), [RED, GREEN, BLUE, WHITE])


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGB", "RGBA", "LA"])
def test_png_modes(mode):
    _, image = clean(encoded(quadrants().convert(mode), "PNG"))
    assert (image.mode, image.size) == ("RGB", (120, 80))
    assert min(image.getpixel((110, 70))) > 220  # a palette dithers


def test_cmyk_keeps_its_colours():
    _, image = clean(encoded(quadrants().convert("CMYK")))
    assert close(corners(image), [RED, GREEN, BLUE, WHITE], 25)


def test_sixteen_bit_grey_keeps_its_tones():
    ramp = np.linspace(0, 65535, 256).astype(np.uint16)
    _, image = clean(encoded(Image.fromarray(np.tile(ramp, (64, 1))), "PNG"))
    assert np.asarray(image)[32, :, 0] == pytest.approx(np.arange(256), abs=3)


def test_transparent_parts_become_white():
    picture = quadrants().convert("RGBA")
    picture.paste((0, 0, 0, 0), (0, 0, 60, 40))
    _, image = clean(encoded(picture, "PNG"))
    assert close(image.getpixel((8, 8)), (255, 255, 255))
    palette = Image.new("P", (64, 64), 0)
    palette.putpalette([0, 0, 0, 10, 20, 30])
    _, image = clean(encoded(palette, "PNG", transparency=0))
    assert close(image.getpixel((8, 8)), (255, 255, 255))


def test_a_phones_multi_picture_jpeg_gives_its_first_picture():
    data = encoded(quadrants(), "MPO", save_all=True, append_images=[Image.new("RGB", (120, 80), GREEN)])
    _, image = clean(data)
    assert close(corners(image), [RED, GREEN, BLUE, WHITE])


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_animations_are_refused(kind):
    frames = [quadrants(), Image.new("RGB", (120, 80), RED)]
    data = encoded(frames[0], kind, save_all=True, append_images=frames[1:], duration=100)
    assert "still photo" in refused(data)


@pytest.mark.parametrize("mode", ["L", "P", "RGB", "RGBA", "CMYK", "I;16"])
def test_large_pictures_are_averaged_down_strip_by_strip_without_a_seam(mode):
    """A ramp from top to bottom, over several strips, must come out as one even ramp."""
    ramp = Image.linear_gradient("L").resize((300, 3000))
    large = (
        ramp.convert(mode) if mode != "I;16" else Image.fromarray(np.asarray(ramp).astype(np.uint16) * 257)
    )
    _, image = clean(encoded(large, "JPEG" if mode == "CMYK" else "PNG"), longest_edge_px=250)
    assert image.size == (25, 250)
    grey = np.asarray(image.convert("L"), int)[:, 12]
    assert np.diff(grey).min() >= -2
    assert np.diff(grey).max() <= 4
    assert grey == pytest.approx(np.linspace(0, 255, 250), abs=6)


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_a_phones_heic_is_read_upright_and_leaves_its_data_behind(orientation):
    """What comes out is what the same picture as JPEG gives (Exif 2.3, tag 274)."""
    tags = Image.Exif()
    tags[0x0112], tags[0x010F] = orientation, "Invented maker"
    done = {}
    for kind in ("HEIF", "JPEG"):
        out = io.BytesIO()
        quadrants(160, 96).save(out, kind, exif=tags.tobytes(), quality=95)
        done[kind] = process_photo(out.getvalue(), max_bytes=10**6, max_pixels=10**6)
    assert (done["HEIF"].width, done["HEIF"].height) == (done["JPEG"].width, done["JPEG"].height)
    assert b"Invented maker" not in done["HEIF"].jpeg
    with (
        Image.open(io.BytesIO(done["HEIF"].jpeg)) as ours,
        Image.open(io.BytesIO(done["JPEG"].jpeg)) as reference,
    ):
        for place in ((0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)):
            at = (int(ours.width * place[0]), int(ours.height * place[1]))
            pairs = zip(ours.getpixel(at), reference.getpixel(at), strict=True)
            assert all(abs(one - other) < 24 for one, other in pairs), place


def test_rotating_turns_clockwise_and_four_turns_come_home():
    done, _ = clean(encoded(quadrants()))
    turned = rotate(done.jpeg, 1)
    assert (turned.width, turned.height) == (80, 120)
    assert close(corners(opened(turned.jpeg)), [BLUE, RED, WHITE, GREEN])
    assert close(corners(opened(rotate(done.jpeg, 2).jpeg)), [WHITE, BLUE, GREEN, RED])
    assert close(corners(opened(rotate(done.jpeg, -1).jpeg)), [GREEN, WHITE, RED, BLUE])
    assert close(corners(opened(rotate(done.jpeg, 4).jpeg)), [RED, GREEN, BLUE, WHITE])


def test_rotating_what_is_no_jpeg_is_refused():
    with pytest.raises(PhotoRefused):
        rotate(b"no photo", 1)
