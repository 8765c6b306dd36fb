"""Where wheel and tyre stand: brakes, strut, arch, cover, track."""

from typing import Any

import numpy as np

from .arithmetic import known_or, least, most, pick
from .formulas_mounting import Outcome
from .profile import clearance_mm
from .quantities import Quantities

COVER_FRONT_DEG = 30.0
COVER_REAR_DEG = 50.0
STANDARD_GRAVITY = 9.80665


def brake_clearance(q: Quantities) -> Outcome:
    """Brake outline to the wheel's inside, moved by the spacer. Tolerance: axle, wheel and spacer."""
    gap = clearance_mm(q.w.profile, q.a.brake, q.s.thickness)
    limit = q.a.brake_clearance
    return Outcome(gap, limit, gap - limit, q.a.tol + q.w.tol + q.s.tol)


def _gap_to_point(q: Quantities, inner: Any, radius: float, y: float) -> Any:
    """Distance from a point to the tyre, taken as a square-shouldered ring of its overall diameter."""
    beside, above = inner - y, radius - 0.5 * q.t.diameter
    both = (beside > 0) & (above > 0)
    return pick(both, (beside * beside + above * above) ** 0.5, most(beside, above))


def inboard_clearance(q: Quantities) -> Outcome:
    """Inner face of tyre or rim to strut and arm points. Tolerance: axle, wheel, spacer, half the tyre's."""
    limit, face = q.a.inboard_clearance, q.a.strut_face
    inner = q.flush_faces[0]
    margin = (inner - face - limit) + q.s.thickness if face == face or not q.a.inboard_points else np.inf
    for radius, y in q.a.inboard_points:
        margin = least(margin, _gap_to_point(q, inner + q.s.thickness, radius, y) - limit)
    return Outcome(lambda: margin + limit, limit, margin, q.position_tolerance)


def outboard_position(q: Quantities) -> Outcome:
    """Outer face of tyre or rim to the arch lip less the required cover. Tolerance as inboard."""
    limit, outer = q.a.arch_lip - q.a.required_cover, q.flush_faces[1]
    return Outcome(
        lambda: outer + q.s.thickness, limit, (limit - outer) - q.s.thickness, q.position_tolerance
    )


def wheel_cover(q: Quantities) -> Outcome | None:
    """Tyre's outer face covered by the arch from 30 deg ahead to 50 deg behind the vertical.

    The arch is taken to run over the sector as the vehicle was made, unless its angles are stated; too
    small an angle is a no, in degrees. Not for a single wheel. Tolerance as inboard.
    """
    if q.a.wheels == 1:
        return None
    front = known_or(q.a.guard_front - COVER_FRONT_DEG, 0.0)
    rear = known_or(q.a.guard_rear - COVER_REAR_DEG, 0.0)
    if front < 0 or rear < 0:
        if front <= rear:
            return Outcome(q.a.guard_front, COVER_FRONT_DEG, front, unit=1)
        return Outcome(q.a.guard_rear, COVER_REAR_DEG, rear, unit=1)
    uncovered = q.section_width * 0.5 - q.w.offset - q.a.arch_lip
    return Outcome(lambda: q.outer_face, q.a.arch_lip, -uncovered - q.s.thickness, q.position_tolerance)


def arch_diameter(q: Quantities) -> Outcome:
    """Overall diameter against the arch's, less twice the travel if stated. Tolerance: axle and tyre."""
    limit = q.a.arch_diameter - 2 * q.a.travel
    return Outcome(q.t.diameter, limit, limit - q.t.diameter, q.a.tol + q.t.tol)


def track_change_mm(q: Quantities) -> Any:
    """Change of track, mm; positive when it grows."""
    return 2 * (q.a.original_offset - q.effective_offset)


def track_change(q: Quantities) -> Outcome | None:
    """Change of track, per cent of the original, against the limit either way.

    Up to the usual 2 % it fits; from there to the limit (4 %) local codes commonly ask for an approval, so
    the tolerance is that band and the row answers `measure`. Both are common practice, no source.
    """
    if q.a.wheels == 1:
        return None
    value = track_change_mm(q) * 100 / q.a.track
    band = max(q.a.track_limit - q.a.track_usual, 0.0)
    return Outcome(value, q.a.track_limit, q.a.track_limit - abs(value), band)


def bearing_moment(q: Quantities) -> Outcome:
    """Change of the wheel load's moment about the bearing, N m: load times shift of the wheel's centre."""
    force = q.a.load / q.a.wheels * STANDARD_GRAVITY
    shift = (q.a.original_offset - q.effective_offset) / 1000
    nothing = float("nan")
    return Outcome(force * shift, nothing, nothing)
