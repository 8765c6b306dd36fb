"""Outlines in millimetres: points with rounded corners, circles, arcs. z is up, as on the vehicle.

A path is a tuple of segments: ``("M", x, z)``, ``("L", x, z)``, ``("Q", x1, z1, x, z)`` (quadratic curve),
``("A", r, large, over, x, z)`` (arc of a circle; ``over`` is 1 when it turns clockwise as seen),
``("O", x, z, rx, rz)`` (a whole ellipse) and ``("Z",)``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeAlias

Segment: TypeAlias = tuple[Any, ...]
Path: TypeAlias = tuple[Segment, ...]
Box: TypeAlias = tuple[float, float, float, float]
Corner: TypeAlias = Sequence[float]


def rounded(corners: Sequence[Corner], closed: bool = True) -> Path:
    """Return the outline through ``corners``, each ``(x, z)`` or ``(x, z, cut)``.

    ``cut`` is how far from the corner its curve begins, at most half of the shorter side. The curve is a
    parabola that leaves both sides without a kink, so that long cuts make smooth roof and bonnet lines.
    """
    count = len(corners)
    path: list[Segment] = []
    for index, corner in enumerate(corners):
        x, z, cut = (*corner, 0.0)[:3]
        at_end = not closed and index in (0, count - 1)
        if not cut or at_end:
            path.append(("L", x, z))
            continue
        before, after = corners[index - 1], corners[(index + 1) % count]
        cut = min(cut, math.dist(before[:2], (x, z)) / 2, math.dist(after[:2], (x, z)) / 2)
        path.append(("L", *_towards((x, z), before, cut)))
        path.append(("Q", x, z, *_towards((x, z), after, cut)))
    path[0] = ("M", *path[0][1:])
    return (*path, ("Z",)) if closed else tuple(path)


def _towards(start: Corner, end: Corner, length: float) -> tuple[float, float]:
    """Return the point ``length`` away from ``start`` on the way to ``end``."""
    whole = math.dist(start[:2], end[:2])
    share = length / whole if whole else 0.0
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def ellipse(x: float, z: float, rx: float, rz: float | None = None) -> Path:
    """Return a whole ellipse, or a circle when ``rz`` is left out."""
    return (("O", x, z, rx, rx if rz is None else rz),)


def circle_above(x: float, z: float, radius: float, left_z: float, right_z: float) -> Path:
    """Return the part of a circle above two heights, one at its left foot and one at its right."""
    left = x - _half_chord(radius, left_z - z)
    right = x + _half_chord(radius, right_z - z)
    large = int(left_z + right_z < 2 * z)
    return (("M", left, left_z), ("A", radius, large, 1, right, right_z), ("Z",))


def _half_chord(radius: float, height: float) -> float:
    return math.sqrt(max(radius**2 - height**2, 0.0))


def mapped(path: Path, move: Callable[[float, float], tuple[float, float]]) -> Path:
    """Return the path with every point moved; circles keep their radius."""
    return tuple(_moved(segment, move) for segment in path)


def _moved(segment: Segment, move: Callable[[float, float], tuple[float, float]]) -> Segment:
    kind = segment[0]
    if kind == "Z":
        return segment
    if kind == "O":
        return ("O", *move(segment[1], segment[2]), *segment[3:])
    if kind == "A":
        return (*segment[:4], *move(segment[4], segment[5]))
    numbers = segment[1:]
    pairs = zip(numbers[::2], numbers[1::2], strict=True)
    return (kind, *(value for x, z in pairs for value in move(x, z)))


def mirrored(path: Path) -> Path:
    """Return the path on the other side of x = 0."""
    turned = tuple(("A", s[1], s[2], 1 - s[3], *s[4:]) if s[0] == "A" else s for s in path)
    return mapped(turned, lambda x, z: (-x, z))


def turned(corners: Sequence[Corner], degrees: float, x: float, z: float) -> list[Corner]:
    """Return corners turned counter-clockwise about the origin, then moved to ``(x, z)``."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(x + p[0] * c - p[1] * s, z + p[0] * s + p[1] * c, *p[2:]) for p in corners]


def counter_clockwise(corners: Sequence[Corner]) -> Sequence[Corner]:
    """Return the corners in the one direction, so that overlapping outlines add and never cancel."""
    following = [*corners[1:], corners[0]]
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, following, strict=True))
    return corners if area > 0 else corners[::-1]


def points_of(path: Path) -> Iterable[tuple[float, float]]:
    """Yield points whose box holds the path: ends, curve controls, the corners of ellipses, arc tops."""
    last = (0.0, 0.0)
    for segment in path:
        kind, numbers = segment[0], segment[1:]
        if kind == "O":
            x, z, rx, rz = numbers
            yield from ((x - rx, z - rz), (x + rx, z + rz))
        elif kind == "A":
            yield from _arc_points(last, segment)
        elif kind != "Z":
            yield from zip(numbers[::2], numbers[1::2], strict=True)
        last = (numbers[-2], numbers[-1]) if len(numbers) >= 2 else last


def _arc_points(start: tuple[float, float], arc: Segment) -> Iterable[tuple[float, float]]:
    """Yield points along an arc, at most 3 degrees apart."""
    _, radius, large, over, x, z = arc
    chord = math.dist(start, (x, z))
    rise = math.sqrt(max(radius**2 - chord**2 / 4, 0.0)) * (1 if large == over else -1)
    ux, uz = (x - start[0]) / (chord or 1), (z - start[1]) / (chord or 1)
    cx, cz = (start[0] + x) / 2 - uz * rise, (start[1] + z) / 2 + ux * rise
    first, last = math.atan2(start[1] - cz, start[0] - cx), math.atan2(z - cz, x - cx)
    sweep = -((first - last) % math.tau) if over else (last - first) % math.tau
    steps = max(2, math.ceil(abs(math.degrees(sweep)) / 3))
    for step in range(1, steps + 1):
        angle = first + sweep * step / steps
        yield cx + radius * math.cos(angle), cz + radius * math.sin(angle)


def bounds(path: Path) -> Box:
    """Return (left, bottom, right, top) of a box that holds the path; exact but for curve controls."""
    xs, zs = zip(*points_of(path), strict=True)
    return min(xs), min(zs), max(xs), max(zs)
