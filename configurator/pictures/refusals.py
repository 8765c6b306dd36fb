"""Why a photo or logo cannot be used: an id with figures, whose sentence says what to do instead.

The English of each id stands here and its German in ``configurator/locale``, as for every other sentence. A
refusal is stored with its id, so an id is never given another meaning.
"""

from __future__ import annotations

from typing import Any

from configurator.words import Said, compose

REFUSALS = {
    "photo_too_large": "The photo is larger than {mb_count} MB. Send it in a smaller size.",
    "photo_too_many_pixels": (
        "This picture has more than {million_count:0} million pixels. Send it in a smaller size: a photo as"
        " your phone takes it is large enough."
    ),
    "photo_too_small": "This picture is too small to show anything. Send the photo in its full size.",
    "photo_damaged": (
        "This photo is damaged or did not arrive whole. Open it once to see that it is all there, then send"
        " it again."
    ),
    "photo_not_prepared": (
        "This photo could not be prepared. Remove it and send it again, or show it to us at the workshop."
    ),
    "photo_empty": "This file is empty. Choose the photo again and send it once more.",
    "photo_animation": "This is an animation. Send a still photo instead, or a screenshot of one frame.",
    "photo_video": "This is a video. Send a still photo instead.",
    "photo_gif": "This is a GIF. Send the photo as JPEG, PNG or WebP.",
    "photo_avif": (
        "This photo is in AVIF format, which we do not take. Send the photo as JPEG, PNG or WebP."
    ),
    "photo_heif": (
        "This HEIC/HEIF photo cannot be read. In your phone's camera settings choose the most compatible"
        " format (JPEG) and take it again, or share it as JPEG."
    ),
    "photo_tiff": "This is a TIFF or raw camera file. Export it as JPEG and send that.",
    "photo_bitmap": "This is a bitmap file. Send the photo as JPEG, PNG or WebP.",
    "photo_jpeg_xl": "This is a JPEG XL file, which we cannot read. Send it as plain JPEG.",
    "photo_pdf": "This is a PDF document, not a photo. Take a photo or a screenshot and send that.",
    "photo_archive": "This is a packed archive. Unpack it and send the photos.",
    "photo_drawing": (
        "This is a drawing or a web page, not a photo. Take a photo or a screenshot and send that."
    ),
    "photo_unread": "This is not a photo that we can read. Send the photo as JPEG, PNG or WebP.",
    "logo_too_large": (
        "This file is larger than {mb_count} MB. Save the logo smaller; 720 pixels wide is enough."
    ),
    "logo_too_many_pixels": (
        "This picture has too many pixels. Save the logo smaller; 720 pixels wide is enough."
    ),
}


class PhotoRefused(ValueError):  # noqa: N818 - it reads as what happened
    """The upload is not a picture we can use; ``said`` tells its sender why, by an id of `REFUSALS`."""

    def __init__(self, refusal: str, **figures: Any) -> None:
        self.said: Said = compose(REFUSALS, refusal, **figures)
        super().__init__(self.said)


_HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
_SEEN = (
    ((b"GIF8",), "photo_gif"),
    ((b"%PDF",), "photo_pdf"),
    ((b"PK\x03\x04", b"\x1f\x8b", b"Rar!", b"7z\xbc\xaf"), "photo_archive"),
    ((b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+"), "photo_tiff"),
    ((b"BM",), "photo_bitmap"),
    ((b"\xff\x0a", b"\x00\x00\x00\x0cJXL "), "photo_jpeg_xl"),
    ((b"\x1aE\xdf\xa3",), "photo_video"),
)
_MARKUP = (b"<svg", b"<html", b"<!doctype", b"<?xml", b"<script")
_PHOTO_STARTS = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")


def _boxed(data: bytes) -> str:
    """Name files built of ISO base media boxes by their brand: phone photos, AVIF, video."""
    if data[4:8] != b"ftyp":
        return "photo_unread"
    brands = data[8:64]
    if b"avif" in brands or b"avis" in brands:
        return "photo_avif"
    return "photo_heif" if any(brand in brands for brand in _HEIF_BRANDS) else "photo_video"


def _recognised(data: bytes) -> str:
    """Return what to say about a file whose kind can be told from its beginning."""
    if not data:
        return "photo_empty"
    if data.startswith(_PHOTO_STARTS) or data[8:12] == b"WEBP":
        return "photo_damaged"
    for starts, refusal in _SEEN:
        if data.startswith(starts):
            return refusal
    return "photo_drawing" if any(mark in data[:512].lower() for mark in _MARKUP) else _boxed(data)


def refuse_unread(data: bytes) -> PhotoRefused:
    """Nothing that we read; say what it seems to be."""
    return PhotoRefused(_recognised(data))
