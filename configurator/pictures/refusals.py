"""Why a photo cannot be used, in words that say what to do instead."""

from __future__ import annotations

SEND_JPEG = "Send the photo as JPEG, PNG or WebP."


class PhotoRefused(ValueError):  # noqa: N818 - it reads as what happened, and its text is for people
    """The upload is not a photo we can use; the text is meant for the person who sent it."""


def refuse_damaged() -> PhotoRefused:
    """The file begins like a photo and does not hold one."""
    return PhotoRefused(
        "This photo is damaged or did not arrive whole. Open it once to see that it is all there, then send "
        "it again."
    )


def refuse_pixels(max_pixels: int) -> PhotoRefused:
    """The header promises more pixels than we decode."""
    return PhotoRefused(
        f"This picture has more than {max_pixels / 1e6:.0f} million pixels. Send it in a smaller size: a "
        "photo as your phone takes it is large enough."
    )


def refuse_animation() -> PhotoRefused:
    """Several frames are not one photo."""
    return PhotoRefused("This is an animation. Send a still photo instead, or a screenshot of one frame.")


_HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
_HEIF = (
    "This HEIC/HEIF photo cannot be read. In your phone's camera settings choose the "
    "most compatible format (JPEG) and take it again, or share it as JPEG."
)
_SEEN = (
    ((b"GIF8",), "This is a GIF. " + SEND_JPEG),
    ((b"%PDF",), "This is a PDF document, not a photo. Take a photo or a screenshot and send that."),
    (
        (b"PK\x03\x04", b"\x1f\x8b", b"Rar!", b"7z\xbc\xaf"),
        "This is a packed archive. Unpack it and send the photos.",
    ),
    (
        (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+"),
        "This is a TIFF or raw camera file. Export it as JPEG and send that.",
    ),
    ((b"BM",), "This is a bitmap file. " + SEND_JPEG),
    (
        (b"\xff\x0a", b"\x00\x00\x00\x0cJXL "),
        "This is a JPEG XL file, which we cannot read. Send it as plain JPEG.",
    ),
    ((b"\x1aE\xdf\xa3",), "This is a video. Send a still photo instead."),
)
_MARKUP = (b"<svg", b"<html", b"<!doctype", b"<?xml", b"<script")
_PHOTO_STARTS = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")


def _boxed(data: bytes) -> str | None:
    """Name files built of ISO base media boxes by their brand: phone photos, AVIF, video."""
    if data[4:8] != b"ftyp":
        return None
    brands = data[8:64]
    if b"avif" in brands or b"avis" in brands:
        return "This photo is in AVIF format, which we do not take. " + SEND_JPEG
    if any(brand in brands for brand in _HEIF_BRANDS):
        return _HEIF
    return "This is a video. Send a still photo instead."


def _recognised(data: bytes) -> str | None:
    """Return what to say about a file whose kind can be told from its beginning."""
    for starts, message in _SEEN:
        if data.startswith(starts):
            return message
    if any(mark in data[:512].lower() for mark in _MARKUP):
        return "This is a drawing or a web page, not a photo. Take a photo or a screenshot and send that."
    return _boxed(data)


def refuse_unread(data: bytes) -> PhotoRefused:
    """Nothing that we read; say what it seems to be."""
    if not data:
        return PhotoRefused("This file is empty. Choose the photo again and send it once more.")
    if data.startswith(_PHOTO_STARTS) or data[8:12] == b"WEBP":
        return refuse_damaged()
    return PhotoRefused(_recognised(data) or "This is not a photo that we can read. " + SEND_JPEG)
