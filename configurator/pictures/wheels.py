"""Wheel designs of our own, drawn by rule for any diameter.

A design is a ring of openings between hub and rim. Outlines are written for a spoke that points up: u is
the distance from the hub's centre, v across the spoke, both as shares of the rim's radius.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import chain

from .geometry import Corner, Path, counter_clockwise, ellipse, rounded, turned

Spoke = tuple[tuple[tuple[float, float], ...], ...]


@dataclass(frozen=True)
class Design:
    """``count`` times the ``spokes``; ``ridges`` are the light edges on them; ``holes`` pierce a disc.

    ``lip`` is the bright ring outside, ``cap`` the middle, both as shares of the radius.
    """

    name: str
    count: int
    spokes: Spoke = ()
    ridges: Spoke = ()
    holes: tuple[tuple[float, float, float], ...] = ()
    slots: Spoke = ()
    disc: float = 0.0
    lip: float = 0.045
    cap: float = 0.13
    hub: float = 0.24
    bolts: bool = True


def _both(*outlines: tuple[tuple[float, float], ...]) -> Spoke:
    """Return outlines and their mirror images across the spoke."""
    return (*outlines, *(tuple((u, -v) for u, v in outline) for outline in outlines))


DESIGNS = {
    "split-five": Design(
        "five split spokes",
        5,
        (
            (
                (0.14, 0.12),
                (0.46, 0.095),
                (0.945, 0.26),
                (0.98, 0.14),
                (0.6, 0.0),
                (0.98, -0.14),
                (0.945, -0.26),
                (0.46, -0.095),
                (0.14, -0.12),
            ),
        ),
        _both(((0.2, 0.05), (0.48, 0.06), (0.95, 0.21), (0.95, 0.17), (0.5, 0.02), (0.2, 0.02))),
    ),
    "twin-five": Design(
        "five twin spokes",
        5,
        _both(((0.12, 0.02), (0.98, 0.06), (0.98, 0.165), (0.55, 0.125), (0.12, 0.12))),
        _both(((0.22, 0.055), (0.96, 0.085), (0.96, 0.115), (0.22, 0.08))),
    ),
    "blade-six": Design(
        "six swept blades, a rib beside each",
        6,
        (
            (
                (0.1, 0.12),
                (0.36, 0.06),
                (0.66, 0.11),
                (0.93, 0.34),
                (0.975, 0.19),
                (0.74, 0.02),
                (0.46, -0.05),
                (0.1, -0.1),
            ),
            ((0.3, -0.03), (0.6, -0.055), (0.985, -0.13), (0.97, -0.21), (0.58, -0.115), (0.28, -0.11)),
        ),
        (((0.2, 0.05), (0.4, 0.03), (0.7, 0.075), (0.945, 0.28), (0.955, 0.24), (0.72, 0.045), (0.4, 0.0)),),
    ),
    "y-seven": Design(
        "seven Y spokes",
        7,
        (
            (
                (0.12, 0.07),
                (0.62, 0.055),
                (0.98, 0.2),
                (0.98, 0.12),
                (0.74, 0.0),
                (0.98, -0.12),
                (0.98, -0.2),
                (0.62, -0.055),
                (0.12, -0.07),
            ),
        ),
        (((0.2, 0.025), (0.66, 0.02), (0.66, -0.02), (0.2, -0.025)),),
    ),
    "multi-fifteen": Design(
        "fifteen fine spokes",
        15,
        (((0.14, 0.045), (0.98, 0.058), (0.98, -0.058), (0.14, -0.045)),),
        (((0.26, 0.016), (0.97, 0.02), (0.97, -0.02), (0.26, -0.016)),),
        lip=0.035,
    ),
    "mesh": Design(
        "crossed mesh",
        10,
        _both(((0.18, 0.085), (0.17, 0.155), (0.915, -0.275), (0.9, -0.33))),
        _both(((0.26, 0.07), (0.255, 0.085), (0.905, -0.292), (0.9, -0.308))),
        lip=0.06,
        hub=0.25,
    ),
    "turbine": Design(
        "turbine of nine blades",
        9,
        (((0.14, 0.09), (0.5, 0.06), (0.965, -0.155), (0.91, -0.345), (0.55, -0.13), (0.14, -0.09)),),
        (((0.22, 0.02), (0.52, -0.0), (0.93, -0.2), (0.925, -0.245), (0.52, -0.05), (0.22, -0.04)),),
    ),
    "cross-ten": Design(
        "ten spokes in pairs that cross at the rim",
        5,
        _both(((0.12, 0.16), (0.12, 0.04), (0.98, -0.14), (0.98, -0.01))),
        _both(((0.22, 0.11), (0.22, 0.08), (0.95, -0.09), (0.95, -0.06))),
    ),
    "disc": Design(
        "smooth disc with ten slots",
        10,
        slots=(((0.66, 0.035), (0.9, 0.05), (0.9, -0.05), (0.66, -0.035)),),
        disc=0.97,
        cap=0.17,
        bolts=False,
    ),
    "steel": Design(
        "steel wheel with twelve holes",
        12,
        holes=((0.72, 0.0, 0.085),),
        disc=0.97,
        lip=0.05,
        cap=0.2,
        hub=0.44,
    ),
    "cast-three": Design(
        "motorcycle wheel, three cast spokes",
        3,
        (((0.08, 0.14), (0.5, 0.085), (0.94, 0.13), (0.94, -0.13), (0.5, -0.085), (0.08, -0.14)),),
        (((0.16, 0.04), (0.55, 0.03), (0.9, 0.05), (0.9, -0.05), (0.55, -0.03), (0.16, -0.04)),),
        lip=0.1,
        cap=0.09,
        hub=0.18,
        bolts=False,
    ),
    "cast-five": Design(
        "motorcycle wheel, five split cast spokes",
        5,
        (
            (
                (0.1, 0.05),
                (0.46, 0.05),
                (0.93, 0.2),
                (0.93, 0.13),
                (0.56, 0.0),
                (0.93, -0.13),
                (0.93, -0.2),
                (0.46, -0.05),
                (0.1, -0.05),
            ),
        ),
        (((0.18, 0.02), (0.5, 0.02), (0.5, -0.02), (0.18, -0.02)),),
        lip=0.09,
        cap=0.09,
        hub=0.18,
        bolts=False,
    ),
    "wire": Design(
        "wire spokes",
        18,
        _both(((0.14, 0.1), (0.14, 0.115), (0.92, -0.035), (0.92, -0.05))),
        lip=0.08,
        cap=0.09,
        hub=0.17,
        bolts=False,
    ),
}


def _ring(outlines: Spoke, design: Design, radius: float, x: float, z: float) -> Path:
    """Return the outlines ``count`` times round the hub as one path whose parts add up."""
    made: list[Path] = []
    for outline in outlines:
        corners: list[Corner] = [(v * radius, u * radius) for u, v in outline]
        one = counter_clockwise(corners)
        made += [rounded(turned(one, 360 / design.count * k, x, z)) for k in range(design.count)]
    return tuple(chain.from_iterable(made))


@lru_cache(maxsize=256)
def spokes(design: Design, radius: float, x: float, z: float) -> Path:
    """Return the metal between hub and rim; fill it with the even-odd rule when it is a disc."""
    if not design.disc:
        return _ring(design.spokes, design, radius, x, z)
    holes: list[Path] = [_ring(design.slots, design, radius, x, z)]
    for u, v, size in design.holes:
        for k in range(design.count):
            ((hx, hz),) = turned([(v * radius, u * radius)], 360 / design.count * k, x, z)
            holes.append(ellipse(hx, hz, size * radius))
    return tuple(chain(ellipse(x, z, design.disc * radius), *holes))


@lru_cache(maxsize=256)
def ridges(design: Design, radius: float, x: float, z: float) -> Path:
    """Return the light edges along the spokes; empty for a disc."""
    return _ring(design.ridges, design, radius, x, z)


@lru_cache(maxsize=256)
def bolts(count: int, circle_radius: float, size: float, x: float, z: float) -> Path:
    """Return bolt heads on their circle."""
    made = [turned([(0.0, circle_radius)], 360 / count * k, x, z)[0] for k in range(count)]
    return tuple(chain.from_iterable(ellipse(bx, bz, size) for bx, bz in made))
