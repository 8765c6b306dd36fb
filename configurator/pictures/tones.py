"""From a tone such as ``paint+8~-10`` to the colours that fill a shape.

A tone is a base, an optional change of lightness in L*, and after ``~`` the change at the lower edge of
the shape, which makes a gradient from top to bottom. Bases are ``paint`` (the part's own colour),
``line`` (a joint in that colour, always visible) and the fixed materials below.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from configurator.colour import hex_to_lab, shift_lightness

MATERIALS = {
    "black": "#17191c",
    "trim": "#2e3236",
    "metal": "#8b9196",
    "chrome": "#c9ced2",
    "glass": "#34424d",
    "lamp": "#dfe8ec",
    "red": "#b3202a",
    "amber": "#e08a1e",
    "plate": "#eceae2",
    "rubber": "#26282b",
    "seat": "#25272a",
    "dark": "#0f1113",
    "white": "#ffffff",
}
_TONE = re.compile(r"([a-z]+)([+-]\d+)?(?:~([+-]\d+))?\Z")
_DARK, _LINE_ON_DARK, _LINE = 18, 17, -20


class ToneError(ValueError):
    """The text is not a tone."""


@dataclass(frozen=True)
class Gradient:
    """Colours at the top and at the bottom edge of the shape they fill."""

    top: str
    bottom: str


def parse(tone: str) -> tuple[str, int, int | None]:
    """Return base, change at the top, change at the bottom (None: flat); raise `ToneError`."""
    match = _TONE.match(tone)
    if not match or match[1] not in {*MATERIALS, "paint", "line"}:
        raise ToneError(f"{tone!r} is not a tone: write paint, line or a material, then e.g. +8 or +8~-10.")
    return match[1], int(match[2] or 0), int(match[3]) if match[3] else None


@lru_cache(maxsize=8192)
def resolve(tone: str, paint: str) -> str | Gradient:
    """Return the colour or the gradient of a tone for a part of colour ``paint`` (``#rrggbb``)."""
    base, top, bottom = parse(tone)
    if base == "line":
        return shift_lightness(paint, _line_step(paint) + top)
    start = paint if base == "paint" else MATERIALS[base]
    # Light on a dark lacquer is what shows its shape: give it more.
    gloss = 1 + max(0.0, 1 - float(hex_to_lab(start)[0]) / 30) / 2 if base == "paint" else 1.0
    if bottom is None:
        return _shifted(start, top, gloss)
    return Gradient(_shifted(start, top, gloss), _shifted(start, bottom, gloss))


def _line_step(paint: str) -> int:
    """A joint is darker than its panel, but on a dark panel only a lighter one is seen."""
    return _LINE_ON_DARK if hex_to_lab(paint)[0] < _DARK else _LINE


def _shifted(colour: str, by: float, gloss: float) -> str:
    """Dark paints have little room downwards: shade them in proportion so that tones stay apart."""
    lightness = float(hex_to_lab(colour)[0])
    return shift_lightness(colour, by * min(1.0, lightness / 40) if by < 0 else by * gloss)
