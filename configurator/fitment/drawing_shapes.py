"""Outlines of wheel, tyre and brake as (y, z) points, mm, from the numbers of the fit."""

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from .defaults import INCH_MM, RIM_FLANGE_MM
from .designation import Tyre
from .parts import Axle, OriginalWheel, Spacer, Wheel
from .profile import inboard_first
from .tyre_size import drawn_diameter_mm, drawn_width_mm

FLANGE_HEIGHT_MM = 17.3  # contour J, ISO 4000-2, from memory
HUB_EDGE_MM = 20.0  # hub and spacer reach this far past the bolt circle's radius
Outline = list[tuple[float, float]]


class Rim(NamedTuple):
    """What places and sizes a rim in the drawing."""

    width_in: float
    diameter_in: float
    offset_mm: float


def rim_of(wheel: Wheel | OriginalWheel | None) -> Rim | None:
    """Return a wheel's rim, None where it is not known well enough to draw it."""
    if wheel is None or wheel.width_in is None or wheel.diameter_in is None or wheel.offset_mm is None:
        return None
    return Rim(wheel.width_in, wheel.diameter_in, wheel.offset_mm)


def hub_radius_mm(axle: Axle) -> float:
    """Radius the hub's face is drawn with."""
    circle = axle.bolt_circle_mm or 2 * ((axle.spigot_diameter_mm or 60) / 2 + 22)
    return circle / 2 + HUB_EDGE_MM


def tyre_curves(
    tyre: Tyre, width_in: float, centre: float, *, within_mm: float = 0.0
) -> tuple[tuple[float, float], list[Outline]]:
    """Start and cubic curves of a tyre's outline, widest at half its height where S is measured.

    `within_mm` draws the air inside instead: smaller by so much at the sides, by half as much more above.
    """
    bead, wide = width_in * INCH_MM / 2 - 1.4 * within_mm, drawn_width_mm(tyre, width_in) / 2 - within_mm
    rim, tread = tyre.rim_diameter_in * INCH_MM / 2, drawn_diameter_mm(tyre) / 2 - 1.5 * within_mm
    height = tread - rim
    shoulder, middle = min(0.80 * wide, wide), rim + 0.5 * height

    def side(sign: int) -> list[Outline]:
        def at(across: float, up: float) -> tuple[float, float]:
            return centre + sign * across, up

        return [
            [at(bead, rim + 0.22 * height), at(wide, rim + 0.18 * height), at(wide, middle)],
            [
                at(wide, middle + 0.24 * height),
                at(shoulder + 0.1 * wide, tread - 0.04 * height),
                at(shoulder, tread),
            ],
        ]

    left, right = side(-1), side(1)
    start = (centre - bead, rim)
    across: Outline = [
        (centre - shoulder / 2, tread + 0.6),
        (centre + shoulder / 2, tread + 0.6),
        right[1][2],
    ]
    back = [
        [right[1][1], right[1][0], right[0][2]],
        [right[0][1], right[0][0], (centre + bead, rim)],
        [(centre + bead / 2, rim), (centre - bead / 2, rim), start],
    ]
    return start, [*left, across, *back]


def rim_top(rim: Rim, centre: float) -> Outline:
    """The rim's outer line from the inboard flange to the outboard one, with a drop centre."""
    half, seat = rim.width_in * INCH_MM / 2, rim.diameter_in * INCH_MM / 2
    lip, drop = seat + FLANGE_HEIGHT_MM, seat - 14
    edge = half + RIM_FLANGE_MM
    line = [
        (-edge, seat),
        (-edge, lip - 4),
        (-edge + 4, lip),
        (-half - 3, lip),
        (-half, seat),
        (-half + 24, seat - 2),
    ]
    line += [(-half + 44, drop), (half - 60, drop), (half - 38, seat - 2)]
    line += [(half, seat), (half + 3, lip), (edge - 4, lip), (edge, lip - 4), (edge, seat - 4)]
    return [(centre + y, z) for y, z in line]


def inside_line(wheel: Wheel, rim: Rim, spacer_mm: float, pad_mm: float) -> Outline:
    """The wheel's inside, inboard to outboard; a plain shape where it is not known."""
    if wheel.inside_profile_mm:
        return [(y + spacer_mm, r) for r, y in inboard_first(wheel.inside_profile_mm)]
    barrel, half = rim.diameter_in * INCH_MM / 2 - 22, rim.width_in * INCH_MM / 2
    centre = spacer_mm - rim.offset_mm
    return [(centre - half, barrel), (centre + half - 45, barrel), (spacer_mm + 18, pad_mm + 30)]


def wheel_outline(wheel: Wheel, rim: Rim, spacer_mm: float, pad_mm: float) -> Outline:
    """The wheel cut through a spoke: rim, spoke, mounting pad, and the given inside."""
    top = rim_top(rim, spacer_mm - rim.offset_mm)
    inside = inside_line(wheel, rim, spacer_mm, pad_mm)
    edge, hub = top[-1], (spacer_mm + (wheel.seat_thickness_mm or 13) + 16, pad_mm)
    spoke = [
        (max(y + 13, _between(edge, hub, z)), z)
        for y, z in inside
        if pad_mm < z < edge[1] - 12 and y > edge[0] - 70
    ]
    bore = (wheel.bore_mm or 60) / 2
    pad = [(hub[0], pad_mm), (hub[0], bore), (spacer_mm, bore), (spacer_mm, pad_mm)]
    inboard_first_point = inside[0]
    start = [(top[0][0], inboard_first_point[1])] if inboard_first_point[1] < top[0][1] else []
    return [*top, *spoke, *pad, *reversed(inside), *start]


def _between(a: tuple[float, float], b: tuple[float, float], z: float) -> float:
    return a[0] + (b[0] - a[0]) * (z - a[1]) / (b[1] - a[1]) if a[1] != b[1] else a[0]


def brake_outline(axle: Axle) -> Outline:
    """The brake's outline, closed towards the hub's face."""
    points = [(y, r) for r, y in axle.brake_envelope_mm or ()]
    if not points:
        return []
    if len(points) == 1:
        y, z = points[0]
        return [(y - 4, z - 4), (y + 4, z - 4), (y + 4, z), (y, z), (y - 4, z)]
    if points[0] == points[-1]:
        return points
    foot = min(hub_radius_mm(axle) + 6, min(z for _, z in points) - 10)
    return [*points, (min(points[-1][0], -2), foot), (min(points[0][0], -16), foot)]


def nearest_pair(a: Outline, b: Outline) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Return the nearest points of two polylines, to about a millimetre: where a dimension is drawn."""
    if not a or not b:
        return None
    dense_a, dense_b = _dense(a), _dense(b)
    gaps = ((dense_a[:, None, :] - dense_b[None, :, :]) ** 2).sum(axis=2)
    i, j = np.unravel_index(int(gaps.argmin()), gaps.shape)
    return (float(dense_a[i, 0]), float(dense_a[i, 1])), (float(dense_b[j, 0]), float(dense_b[j, 1]))


def _dense(line: Outline, per_side: int = 60) -> np.ndarray:
    points = np.array(line, dtype=float)
    if len(points) == 1:
        return points
    along = np.linspace(0, 1, per_side)[:, None]
    return np.concatenate([p + along * (q - p) for p, q in pairwise(points)])


def thickness_mm(spacer: Spacer | None) -> float:
    """The spacer's thickness, 0 for none."""
    return spacer.thickness_mm if spacer else 0.0
