"""Least distance between the brakes' outline and the inside of the wheel, both [radius, y] polylines."""

from itertools import pairwise
from typing import Any

from .arithmetic import NAN, least, most, pick

# How far inboard a barrel is continued: further than any brake stands.
_BARREL_MM = 1000.0
# A polyline's points; radii and heights are floats, or arrays that broadcast.
Points = tuple[tuple[Any, Any], ...]


def clearance_mm(profile: Points, envelope: Points, shift_mm: Any) -> Any:
    """Return the signed clearance in mm: negative where the brake would stand in the wheel.

    `profile` runs from the inboard end outboard, in the wheel's own frame; `shift_mm` moves it outboard. The
    nearest points may lie between vertices of either line. Inboard of its first point the barrel counts as
    going on at the same radius; outboard of the last the radius does, for the sign only. NaN where the brake
    reaches further outboard than the profile is known and nothing nearer decides.
    """
    if not profile or not envelope:
        return NAN
    profile = ((profile[0][0], profile[0][1] - _BARREL_MM), *profile)
    # In the wheel's frame the spacer moves the brake inboard: far fewer numbers than moving the wheel.
    brake = tuple((r, y - shift_mm) for r, y in envelope)
    sides = tuple(_Side(a, b) for a, b in pairwise(profile))
    gap: Any = float("inf")
    for r, y in brake:
        distance = _nearest(r, y, sides)
        gap = least(gap, pick(_in_free_space(r, y, profile, sides), distance, -distance))
    brake_sides = tuple(_Side(a, b) for a, b in pairwise(envelope))
    for r, y in profile if brake_sides else ():
        distance = _nearest(r, y + shift_mm, brake_sides)
        gap = least(gap, pick(_crossings(r, y + shift_mm, brake_sides), -distance, distance))
    return pick((gap >= 0) & (_outermost(brake) > _outermost(profile)), NAN, gap)


def inboard_first(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """Turn a profile that was written from the spokes inboard."""
    return points if points[0][1] <= points[-1][1] else points[::-1]


def _outermost(points: Points) -> Any:
    top = points[0][1]
    for _, y in points[1:]:
        top = most(top, y)
    return top


class _Side:
    """One side of a polyline, with what does not depend on the point it is measured from."""

    def __init__(self, a: tuple[Any, Any], b: tuple[Any, Any]) -> None:
        (self.r, self.y), (self.end_r, self.end_y) = a, b
        dr, dy = b[0] - a[0], b[1] - a[1]
        length = (dr * dr + dy * dy) ** 0.5
        # A side of no length (padding) has no direction; any will do, all is measured from its one point.
        point = length == 0
        self.half = length * 0.5
        self.along_r, self.along_y = dr / (length + point), (dy + point) / (length + point)
        self.r_per_y = dr / (dy + (dy == 0))

    def distance2(self, r: Any, y: Any) -> Any:
        """Squared distance: across the side, and past whichever end is nearer."""
        # What varies with y is kept apart from the rest: in a grid only y varies with the spacer.
        off_r = r - self.r
        across = (off_r * self.along_y + self.y * self.along_r) - y * self.along_r
        along = (off_r * self.along_r - self.y * self.along_y - self.half) + y * self.along_y
        past = most(abs(along) - self.half, 0.0)
        return across * across + past * past

    def crossed(self, r: Any, y: Any) -> Any:
        """Whether a ray from the point to growing radius crosses the side."""
        spans = (self.y <= y) != (self.end_y <= y)
        return spans & ((self.r - self.y * self.r_per_y - r) + y * self.r_per_y > 0)


def _nearest(r: Any, y: Any, sides: tuple[_Side, ...]) -> Any:
    found = sides[0].distance2(r, y)
    for side in sides[1:]:
        found = least(found, side.distance2(r, y))
    return found**0.5


def _crossings(r: Any, y: Any, sides: tuple[_Side, ...]) -> Any:
    """Whether a ray from the point to growing radius crosses the line an odd number of times."""
    odd = sides[0].crossed(r, y)
    for side in sides[1:]:
        odd = odd != side.crossed(r, y)
    return odd


def _in_free_space(r: Any, y: Any, line: Points, sides: tuple[_Side, ...]) -> Any:
    (first_r, first_y), (last_r, last_y) = line[0], line[-1]
    before = (y < first_y) & (first_r > r)
    after = (last_y <= y) & (last_r > r)
    return (_crossings(r, y, sides) != before) != after
