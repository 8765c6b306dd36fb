"""Tyres: from the side, and along the vehicle."""

from __future__ import annotations

from collections.abc import Iterator

from .body import Body
from .brakes import polar
from .geometry import Path, ellipse, rounded
from .look import AxleLook, Look
from .shape_spec import AxleSpec
from .shapes import Shape
from .tones import Gradient

_TREAD, _WALL = Gradient("#25282b", "#121314"), Gradient("#3b3f43", "#1b1d1f")
_GROOVE, _GLINT, _FAR = "#0f1011", "#8b9298", "#131416"


def side(part: str, x: float, radius: float, edge: float) -> Iterator[Shape]:
    """Yield the tyre as a ring of tread and a wall that is round: lit at its shoulder, dark at its bead.

    ``radius`` is the tyre's and ``edge`` the rim's over its flanges, mm.
    """
    yield Shape(part, ellipse(x, radius, radius), fill=_TREAD)
    wall = radius - edge
    if wall <= 24:
        return
    yield Shape(part, ellipse(x, radius, radius - max(4.0, wall * 0.09)), fill=_WALL)
    for start, end, opacity in ((38.0, 142.0, 0.22), (58.0, 122.0, 0.3)):
        glint = arc(x, radius, radius - wall * 0.27, start, end)
        yield Shape(part, glint, stroke=_GLINT, stroke_mm=max(3.0, wall * 0.11), opacity=opacity)
    bounce = arc(x, radius, radius - wall * 0.24, 238.0, 302.0)
    yield Shape(part, bounce, stroke=_GLINT, stroke_mm=max(2.0, wall * 0.06), opacity=0.16)
    yield Shape(part, ellipse(x, radius, edge + wall * 0.3), stroke=_GROOVE, stroke_mm=3, opacity=0.7)
    yield Shape(part, ellipse(x, radius, edge + 5), stroke=_GROOVE, stroke_mm=10)


def arc(x: float, z: float, radius: float, start: float, end: float) -> Path:
    """Return an open arc from ``start`` to ``end`` degrees, counter-clockwise from the right."""
    over = ("A", radius, int(end - start > 180), 0, *polar(x, z, radius, end))
    return (("M", *polar(x, z, radius, start)), over)


def along(body: Body, look: Look, position: str, *, with_farther: bool) -> Iterator[Shape]:
    """Yield an axle's tyres as seen along the vehicle, those of the farther axle first and darker."""
    if with_farther:
        farther = "rear" if position == "front" else "front"
        yield from _axle(body.axle(farther), look.axle(farther), farther, far=True)
    yield from _axle(body.axle(position), look.axle(position), position, far=False)


def spans(axle: AxleSpec, look: AxleLook) -> tuple[tuple[float, float], ...]:
    """Return left and right edge of each of an axle's tyres, mm from the vehicle's middle."""
    outer = axle.hub_face_mm + look.face_mm
    inner = outer - look.tyre_section_width_mm
    return ((inner, outer), (-outer, -inner)) if axle.wheels == 2 else ((inner, outer),)


def _axle(axle: AxleSpec, look: AxleLook, position: str, *, far: bool) -> Iterator[Shape]:
    for left, right in spans(axle, look):
        yield from _one(f"tyre_{position}", left, right, look, axle.wheels == 1, far)


def _one(
    part: str, left: float, right: float, look: AxleLook, round_tread: bool, far: bool
) -> Iterator[Shape]:
    """Yield one tyre's tread; a motorcycle's is round across."""
    height, width = look.tyre_overall_diameter_mm, right - left
    cut = width * (0.5 if round_tread else 0.16)
    deep = cut * (1.5 if round_tread else 1.3)
    corners = [(left, 0, cut), (right, 0, cut), (right, height, cut), (left, height, cut)]
    path = rounded([(*c[:2], deep if round_tread else cut) for c in corners])
    if far:
        yield Shape(part, path, fill=_FAR)
        return
    yield Shape(part, path, fill=Gradient("#1b1d1f", "#303337"))
    # A lit band down the tread makes it round; on a car it stays between the grooves.
    for share, opacity in ((0.34, 0.1), (0.16, 0.12)):
        inner = width * (1 - share) / 2
        band = rounded(
            [
                (left + inner, 8, 9),
                (right - inner, 8, 9),
                (right - inner, height - 8, 9),
                (left + inner, height - 8, 9),
            ]
        )
        yield Shape(part, band, fill=_GLINT, opacity=opacity)
    if round_tread:
        return
    for share in (0.27, 0.5, 0.73):
        groove = left + width * share
        line = (("M", groove, 14.0), ("L", groove, height - 14.0))
        yield Shape(part, line, stroke=_GROOVE, stroke_mm=max(4.0, width * 0.035))
