"""A scene as PNG, alone, on a share card or on a sheet.

The SVG is rasterised by resvg, which is exact where Pillow's polygons would need supersampling and our
own curves, gradients and clips; Pillow composes, writes the text and encodes.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from importlib.resources import files
from io import BytesIO

import resvg_py
from PIL import Image, ImageDraw, ImageFont

from configurator.colour import hex_to_rgb, text_colour_on

from .scene import Scene
from .svg import to_svg

CARD_SIZE = (1200, 630)
_EDGE = 48


def to_image(scene: Scene, width_px: int) -> Image.Image:
    """Return the picture as RGBA on a clear ground, ``width_px`` wide (1 to 8000)."""
    if not 1 <= width_px <= 8000:
        raise ValueError("A picture is 1 to 8000 pixels wide.")
    svg = to_svg(scene, "", "", width_px=width_px)
    data = resvg_py.svg_to_bytes(svg_string=svg, width=width_px, skip_system_fonts=True)
    return Image.open(BytesIO(bytes(data)), formats=("PNG",)).convert("RGBA")


def to_png(scene: Scene, width_px: int, *, background: str | None = "#ffffff") -> bytes:
    """Return the picture as PNG; ``background`` is ``#rrggbb``, or None for a clear ground."""
    image = to_image(scene, width_px)
    if background is None:
        return _encoded(image)
    ground = Image.new("RGBA", image.size, background)
    return _encoded(Image.alpha_composite(ground, image).convert("RGB"))


def _encoded(image: Image.Image) -> bytes:
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def sheet(scenes: Sequence[Scene], width_px: int, *, background: str = "#ffffff", gap_px: int = 24) -> bytes:
    """Return several views side by side at one scale, standing on one ground line."""
    room = width_px - gap_px * (len(scenes) - 1)
    scale = room / sum(scene.width_mm for scene in scenes)
    images = [to_image(scene, max(1, round(scene.width_mm * scale))) for scene in scenes]
    page = Image.new("RGB", (width_px, max(image.height for image in images)), background)
    x = 0
    for image in images:
        page.paste(image, (x, page.height - image.height), image)
        x += image.width + gap_px
    return _encoded(page)


def share_card(
    scenes: Sequence[Scene],
    title: str,
    lines: Sequence[str] = (),
    *,
    footer: str = "",
    background: str = "#eef0ee",
    accent_hex: str = "#1b1d20",
) -> bytes:
    """Return a 1200 x 630 card: the first view large, further ones small, title, lines, footer.

    Text that is too wide is shortened; lines beyond the fifth are left out.
    """
    card = Image.new("RGB", CARD_SIZE, background)
    draw = ImageDraw.Draw(card)
    ink = text_colour_on(background)
    width, height = CARD_SIZE
    draw.rectangle((0, 0, width, 12), fill=hex_to_rgb(accent_hex))
    _write(draw, 34, title, _font(44, "Bold"), ink, width - 2 * _EDGE)
    for number, line in enumerate(lines[:5]):
        _write(draw, height - 204 + number * 31, line, _font(22, "Medium"), ink, width * 0.5)
    _write(draw, height - 40, footer, _font(18), ink, width * 0.5)
    _place(card, scenes)
    return _encoded(card)


def _place(card: Image.Image, scenes: Sequence[Scene]) -> None:
    """Put the first view into the upper field and the others in a row at the lower right."""
    if not scenes:
        return
    width, height = CARD_SIZE
    main = _fitting(scenes[0], width - 2 * _EDGE, 330)
    card.paste(main, ((width - main.width) // 2, 430 - main.height), main)
    x = width - _EDGE
    for scene in reversed(scenes[1:]):
        image = _fitting(scene, 230, 180)
        x -= image.width
        card.paste(image, (x, height - 20 - image.height), image)
        x -= 12


def _fitting(scene: Scene, width: int, height: int) -> Image.Image:
    scale = min(width / scene.width_mm, height / scene.height_mm)
    return to_image(scene, max(1, round(scene.width_mm * scale)))


@lru_cache(maxsize=16)
def _font(size: int, weight: str = "Regular") -> ImageFont.FreeTypeFont:
    # From a package, so that cards look the same on every machine; Pillow's own face has no umlauts.
    # Papers are set in the same face.
    name = f"IBMPlexSansCondensed-{weight}.ttf"
    return ImageFont.truetype(str(files("fontpkg_ibm_plex_sans_condensed") / "files" / name), size)


def _write(
    draw: ImageDraw.ImageDraw, y: int, text: str, font: ImageFont.FreeTypeFont, ink: str, room: float
) -> None:
    """Write one line, shortened to the room it has."""
    text = " ".join(text.split())
    if draw.textlength(text, font) > room:
        while text and draw.textlength(text + "…", font) > room:
            text = text[:-1]
        text = text.rstrip() + "…"
    draw.text((_EDGE, y), text, ink, font)
