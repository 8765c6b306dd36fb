"""A customer's photo made safe: any upload in, one plain JPEG and a thumbnail out.

The bytes come from strangers. Only still JPEG, PNG, WebP and HEIC files are read, by their content and never
by their name; the size in pixels is checked from the header before anything is decoded; what comes out
is drawn afresh, so that no metadata (place, time, camera, comments, profiles, hidden files behind the
picture) can travel with it. A photo that cannot be used is refused in words that say what to do.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from io import BytesIO

import pillow_heif
from PIL import Image, ImageCms

from .refusals import PhotoRefused, refuse_unread

__all__ = ["PhotoRefused", "ProcessedPhoto", "process_photo", "rotate"]

FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
SHORTEST_EDGE_PX = 32
THUMBNAIL_EDGE_PX = 400
JPEG_QUALITY = 86
# A profile is a few kilobytes for a camera and some hundred for a press; more is not a profile.
MAX_ICC_BYTES = 2_000_000
# A progressive JPEG of many tiny scans makes the decoder pass over all pixels once for each.
MAX_JPEG_SCANS = 120
# Scans times pixels is the decoder's work: a few scans of a large photo, or many of a small one.
MAX_SCANNED_PIXELS = 1_200_000_000
STRIP_ROWS = 128
ORIENTATION_TAG = 0x0112

_T = Image.Transpose
# Exif 2.3, tag 274: what turns the stored picture upright.
UPRIGHT = {
    2: _T.FLIP_LEFT_RIGHT,
    3: _T.ROTATE_180,
    4: _T.FLIP_TOP_BOTTOM,
    5: _T.TRANSPOSE,
    6: _T.ROTATE_270,
    7: _T.TRANSVERSE,
    8: _T.ROTATE_90,
}
CLOCKWISE = {1: _T.ROTATE_270, 2: _T.ROTATE_180, 3: _T.ROTATE_90}
# Phones keep their photos as HEIC; libheif reads the header first, as Pillow's own readers do.
pillow_heif.register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)
_SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))


@dataclass(frozen=True)
class ProcessedPhoto:
    """A clean photo: JPEG bytes without metadata, in sRGB, upright.

    ``sha256`` is the digest of ``jpeg``; ``source_sha256`` that of the bytes it was made from, by which
    the same photo sent twice is known.
    """

    jpeg: bytes
    width: int
    height: int
    thumbnail: bytes
    thumbnail_width: int
    thumbnail_height: int
    sha256: str
    source_sha256: str


def process_photo(
    data: bytes, *, max_bytes: int, max_pixels: int, longest_edge_px: int = 2000
) -> ProcessedPhoto:
    """Return the clean copy of an uploaded photo, or raise `PhotoRefused` with what to say.

    ``max_bytes`` bounds the upload, ``max_pixels`` width times height as the header states them.
    """
    if len(data) > max_bytes:
        raise PhotoRefused("photo_too_large", mb_count=max_bytes // 1_000_000)
    scans = data.count(b"\xff\xda") if data.startswith(b"\xff\xd8") else 1
    if scans > MAX_JPEG_SCANS:
        raise PhotoRefused("photo_damaged")
    image = _opened(data, max_pixels)
    if scans * image.width * image.height > MAX_SCANNED_PIXELS:
        raise PhotoRefused("photo_damaged")
    # What goes wrong inside a decoder fed with hostile bytes has no common type; to the customer it is
    # all the same: the file is damaged.
    try:
        image.draft(None, (longest_edge_px, longest_edge_px))
        image.load()
        small = _upright(_shrunk(image, longest_edge_px), image)
        clean = _to_srgb(small, image.info.get("icc_profile"))
    except Exception as error:
        raise PhotoRefused("photo_damaged") from error
    return _packed(clean, longest_edge_px, data)


def rotate(jpeg_bytes: bytes, quarter_turns: int) -> ProcessedPhoto:
    """Return a photo that `process_photo` made, turned clockwise by so many quarter turns.

    Negative turns go the other way. Raises `PhotoRefused` when the bytes are no JPEG.
    """
    try:
        with Image.open(BytesIO(jpeg_bytes), formats=("JPEG",)) as image:
            turned = image.convert("RGB")
    except Exception as error:
        raise PhotoRefused("photo_damaged") from error
    if quarter_turns % 4:
        turned = turned.transpose(CLOCKWISE[quarter_turns % 4])
    return _packed(turned, max(turned.size), jpeg_bytes)


def _opened(data: bytes, max_pixels: int) -> Image.Image:
    """Read the header only and refuse what must not be decoded."""
    try:
        image = Image.open(BytesIO(data), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PhotoRefused("photo_too_many_pixels", million_count=max_pixels / 1e6) from error
    # Parsers of hostile headers fail in many ways; none of them is a photo.
    except Exception as error:
        raise refuse_unread(data) from error
    width, height = image.size
    if width * height > max_pixels:
        raise PhotoRefused("photo_too_many_pixels", million_count=max_pixels / 1e6)
    if min(width, height) < SHORTEST_EDGE_PX:
        raise PhotoRefused("photo_too_small")
    # A phone's JPEG may carry further still pictures (MPO); its first one is the photo.
    if getattr(image, "is_animated", False) and image.format != "MPO":
        raise PhotoRefused("photo_animation")
    return image


def _shrunk(image: Image.Image, longest_edge_px: int) -> Image.Image:
    """Return the picture as plain 8-bit L, RGB or CMYK, averaged down to less than twice the longest edge.

    It goes strip by strip: a few kilobytes of PNG can unpack to hundreds of megabytes, and every step
    over the whole of it would need as much again.
    """
    factor = max(1, max(image.size) // longest_edge_px)
    rows = factor * STRIP_ROWS
    small: Image.Image | None = None
    for top in range(0, image.height, rows):
        strip = image.crop((0, top, image.width, min(image.height, top + rows)))
        plain = _flattened(_eight_bit(strip)).reduce(factor)
        if small is None:
            small = Image.new(plain.mode, (plain.width, -(-image.height // factor)))
        small.paste(plain, (0, top // factor))
    return small or image


def _upright(image: Image.Image, source: Image.Image) -> Image.Image:
    """Apply the Exif orientation of ``source``; a broken Exif block counts as none."""
    try:
        orientation = source.getexif().get(ORIENTATION_TAG)
    except Exception:
        return image
    method = UPRIGHT.get(orientation) if isinstance(orientation, int) else None
    return image if method is None else image.transpose(method)


def _to_srgb(image: Image.Image, icc: bytes | None) -> Image.Image:
    """Return sRGB, by the embedded profile where there is a usable one."""
    if icc and len(icc) <= MAX_ICC_BYTES:
        try:
            profile = ImageCms.ImageCmsProfile(BytesIO(icc))
            converted = ImageCms.profileToProfile(image, profile, _SRGB, outputMode="RGB")
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            converted = None
        if converted is not None:
            return converted
    return image.convert("RGB")


def _eight_bit(image: Image.Image) -> Image.Image:
    """Bring 16 and 32-bit greys to 8 bits; Pillow alone would clip them to white."""
    if not image.mode.startswith(("I", "F")):
        return image
    full = 65535.0 if image.mode.startswith("I") else 1.0
    return image.convert("F").point(lambda value: value * (255.0 / full) + 0.0).convert("L")


def _flattened(image: Image.Image) -> Image.Image:
    """Lay a transparent picture on white and leave the palette behind."""
    if image.has_transparency_data:
        top = image.convert("RGBA")
        ground = Image.new("RGBA", top.size, "white")
        return Image.alpha_composite(ground, top).convert("RGB")
    if image.mode in ("RGB", "L", "CMYK"):
        return image
    return image.convert("RGB")


def _packed(image: Image.Image, longest_edge_px: int, source: bytes) -> ProcessedPhoto:
    """Scale, draw afresh and encode."""
    photo = _redrawn(image, longest_edge_px)
    small = _redrawn(photo, THUMBNAIL_EDGE_PX)
    jpeg = _encoded(photo)
    return ProcessedPhoto(
        jpeg=jpeg,
        width=photo.width,
        height=photo.height,
        thumbnail=_encoded(small),
        thumbnail_width=small.width,
        thumbnail_height=small.height,
        sha256=hashlib.sha256(jpeg).hexdigest(),
        source_sha256=hashlib.sha256(source).hexdigest(),
    )


def _redrawn(image: Image.Image, longest_edge_px: int) -> Image.Image:
    """Return the pixels on a new canvas: Pillow would carry comments and profiles from the old one."""
    share = min(1.0, longest_edge_px / max(image.size))
    size = (max(1, round(image.width * share)), max(1, round(image.height * share)))
    canvas = Image.new("RGB", size)
    canvas.paste(image if size == image.size else image.resize(size, Image.Resampling.LANCZOS))
    return canvas


def _encoded(image: Image.Image) -> bytes:
    """Encode as baseline JPEG."""
    out = BytesIO()
    image.save(out, "JPEG", quality=JPEG_QUALITY, optimize=True)
    return out.getvalue()
