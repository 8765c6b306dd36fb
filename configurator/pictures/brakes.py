"""Brake disc and caliper, as they show through a wheel."""

from __future__ import annotations

import math
from collections.abc import Iterator

from .geometry import Path, ellipse
from .shapes import Shape
from .tones import Gradient, resolve

_RING, _RING_EDGE = Gradient("#8f959a", "#5b6065"), "#3f4448"
_GAP, _HAT, _HAT_FACE = "#212427", Gradient("#777d82", "#3f4448"), Gradient("#474c51", "#6b7176")
_WINDOW = "#16181a"


def brake(part: str, x: float, z: float, radius: float, room: float, colour: str) -> Iterator[Shape]:
    """Yield disc and caliper round the hub at ``(x, z)``, all in mm; nothing without a disc.

    ``part`` is ``front`` or ``rear``, ``radius`` the disc's, ``room`` as far out as a caliper may reach,
    ``colour`` the caliper's (``#rrggbb``).
    """
    if radius <= 20:
        return
    yield from _disc(f"disc_{part}", x, z, radius)
    # Calipers sit behind a front axle and before a rear one on most cars, out of the road's dirt.
    middle = 20.0 if part == "front" else 160.0
    yield from _caliper(part, x, z, radius, min(radius + 16, room), middle, colour)


def _disc(part: str, x: float, z: float, radius: float) -> Iterator[Shape]:
    """Yield the friction ring with two reflections, and the hat that carries it."""
    yield Shape(part, ellipse(x, z, radius), fill=_RING, stroke=_RING_EDGE, stroke_mm=4)
    for middle in (70.0, 250.0):
        glint = ring_piece(x, z, radius * 0.7, radius * 0.98, middle, 34)
        yield Shape(part, glint, fill="#ffffff", opacity=0.2)
    yield Shape(part, ellipse(x, z, radius * 0.67), fill=_GAP)
    yield Shape(part, ellipse(x, z, radius * 0.6), fill=_HAT)
    yield Shape(part, ellipse(x, z, radius * 0.5), fill=_HAT_FACE)


def _caliper(
    position: str, x: float, z: float, disc: float, outer: float, middle: float, colour: str
) -> Iterator[Shape]:
    """Yield the housing with its bridge, the window over the pads, and two bolts."""
    part, inner = f"caliper_{position}", disc * 0.6
    yield Shape(part, _housing(x, z, inner, outer, middle), fill=resolve("paint+9~-10", colour))
    top = ring_piece(x, z, outer - 9, outer - 3, middle, 46)
    yield Shape(part, top, fill=_flat(resolve("paint+22", colour)))
    for side in (-13.0, 13.0):
        window = ring_piece(x, z, disc * 0.77, outer - 16, middle + side, 13)
        yield Shape(f"disc_{position}", window, fill=_WINDOW)
    for side in (-24.0, 24.0):
        bx, bz = polar(x, z, (inner + outer) / 2, middle + side)
        yield Shape(part, ellipse(bx, bz, 6.0), fill=_flat(resolve("paint-20", colour)))


def _flat(colour: str | Gradient) -> str:
    return colour if isinstance(colour, str) else colour.top


def polar(x: float, z: float, radius: float, degrees: float) -> tuple[float, float]:
    """Return the point at a distance and an angle, counter-clockwise from the right."""
    angle = math.radians(degrees)
    return x + radius * math.cos(angle), z + radius * math.sin(angle)


def ring_piece(x: float, z: float, inner: float, outer: float, middle: float, width: float) -> Path:
    """Return a piece of a ring, ``width`` degrees round ``middle``."""
    high, low = middle + width / 2, middle - width / 2
    return (
        ("M", *polar(x, z, outer, high)),
        ("A", outer, 0, 1, *polar(x, z, outer, low)),
        ("L", *polar(x, z, inner, low)),
        ("A", inner, 0, 0, *polar(x, z, inner, high)),
        ("Z",),
    )


def _housing(x: float, z: float, inner: float, outer: float, middle: float) -> Path:
    """Return the caliper's outline: broad outside, its two ends drawn in towards the hub."""

    def at(radius: float, degrees: float) -> tuple[float, float]:
        return polar(x, z, radius, middle + degrees)

    shoulder = outer - (outer - inner) * 0.3
    return (
        ("M", *at(outer, 24)),
        ("A", outer, 0, 1, *at(outer, -24)),
        ("Q", *at(outer, -31), *at(shoulder, -32)),
        ("L", *at(inner + 8, -26)),
        ("Q", *at(inner, -25), *at(inner, -18)),
        ("A", inner, 0, 0, *at(inner, 18)),
        ("Q", *at(inner, 25), *at(inner + 8, 26)),
        ("L", *at(shoulder, 32)),
        ("Q", *at(outer, 31), *at(outer, 24)),
        ("Z",),
    )
