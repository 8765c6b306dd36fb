"""Least distance between the brakes' outline and the inside of the wheel, both [radius, y] polylines."""

from itertools import pairwise
from typing import Any

from configurator.fitment.arithmetic import NAN, least, pick

# A polyline's points; radii and heights are floats, or arrays that broadcast.
Points = tuple[tuple[Any, Any], ...]


def clearance_mm(profile: Points, envelope: Points, shift_mm: Any) -> Any:
    """Return the signed clearance in mm: negative where the brake would stand in the wheel.

    `profile` runs from the inboard end outboard, in the wheel's own frame; `shift_mm` moves it outboard. The
    nearest points may lie between vertices of either line. Inboard of its first point and outboard of its
    last the profile's radius counts as going on, for the sign only. NaN where the brake reaches further
    outboard than the profile is known and nothing nearer decides.
    """
    if not profile or not envelope:
        return NAN
    moved = tuple((r, y + shift_mm) for r, y in profile)
    gap: Any = float("inf")
    for r, y in envelope:
        distance = _distance(r, y, moved)
        gap = least(gap, pick(_in_free_space(r, y, moved), distance, -distance))
    if len(envelope) > 1:
        for r, y in moved:
            distance = _distance(r, y, envelope)
            gap = least(gap, pick(_crossings(r, y, envelope), -distance, distance))
    return pick((gap >= 0) & (_outermost(envelope) > _outermost(moved)), NAN, gap)


def inboard_first(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """Turn a profile that was written from the spokes inboard."""
    return points if points[0][1] <= points[-1][1] else points[::-1]


def _outermost(points: Points) -> Any:
    top = points[0][1]
    for _, y in points[1:]:
        top = -least(-top, -y)
    return top


def _distance(r: Any, y: Any, line: Points) -> Any:
    found: Any = float("inf")
    for (r1, y1), (r2, y2) in pairwise(line):
        dr, dy = r2 - r1, y2 - y1
        length2 = dr * dr + dy * dy
        along = ((r - r1) * dr + (y - y1) * dy) / (length2 + (length2 == 0))
        along = least(pick(along > 0, along, 0.0), 1.0)
        off_r, off_y = r - r1 - along * dr, y - y1 - along * dy
        found = least(found, off_r * off_r + off_y * off_y)
    if len(line) == 1:
        found = (r - line[0][0]) ** 2 + (y - line[0][1]) ** 2
    return found**0.5


def _crossings(r: Any, y: Any, line: Points) -> Any:
    """Whether a ray from the point to growing radius crosses the line an odd number of times."""
    odd: Any = False
    for (r1, y1), (r2, y2) in pairwise(line):
        spans = (y1 <= y) != (y2 <= y)
        rise = y2 - y1
        at = r1 + (y - y1) * (r2 - r1) / (rise + (rise == 0))
        odd = odd != (spans & (at > r))
    return odd


def _in_free_space(r: Any, y: Any, line: Points) -> Any:
    (first_r, first_y), (last_r, last_y) = line[0], line[-1]
    before = (y < first_y) & (first_r > r)
    after = (last_y <= y) & (last_r > r)
    return (_crossings(r, y, line) != before) != after
