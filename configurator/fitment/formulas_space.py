"""Where wheel and tyre stand: brakes, strut, arch, cover, track."""

from typing import Any

import numpy as np

from .arithmetic import EPSILON, NAN, known_or, least, most, pick
from .defaults import NARROWING_LIMIT_PCT, NARROWING_USUAL_PCT, TWIN_GAP_SHARE
from .outcome import Outcome, definite_no, worst
from .profile import clearance_mm
from .quantities import Quantities

COVER_FRONT_DEG = 30.0
COVER_REAR_DEG = 50.0
REAR_EDGE_MM = 150.0
STANDARD_GRAVITY = 9.80665


def brake_clearance(q: Quantities) -> Outcome:
    """Brake outline to the wheel's inside, moved by the spacer, beside what is fitted inside the barrel.

    Tolerance: axle, wheel and spacer, and what weights and valve may take where nobody said.
    """
    gap = clearance_mm(q.w.profile, q.a.brake, q.s.thickness_mm)
    limit = q.a.required_brake_clearance_mm + q.w.fitted_inside_mm
    return Outcome(gap, limit, gap - limit, q.place_tolerance + q.w.inside_doubt_mm)


def _gap_to_point(inner: Any, diameter: Any, radius: float, y: float) -> Any:
    """Distance from a point to the tyre, taken as a square-shouldered ring of its overall diameter."""
    beside, above = inner - y, radius - 0.5 * diameter
    both = (beside > 0) & (above > 0)
    return pick(both, (beside * beside + above * above) ** 0.5, most(beside, above))


def inboard_clearance(q: Quantities) -> Outcome:
    """Inner face of tyre or rim to strut and arm points; more where the wheel steers.

    Tolerance: axle, wheel, spacer and what the tyre may be wider, to a point what it may be larger as well. A
    rim that strikes by itself is a no whatever tyre is on it.
    """
    limit, face = q.a.required_inboard_clearance_mm, q.a.strut_face_mm
    margin = q.flush_faces[0] - face - limit + q.s.thickness_mm
    if _is_unknown(margin):
        rim = -q.half_rim - q.wheel_offsets[0] + q.s.thickness_mm
        margin = definite_no(margin, rim - face - limit)
    beside = Outcome(lambda: margin + limit, limit, margin, q.position_tolerance)
    if not q.a.inboard_points:
        return beside
    points = [_to_point(q, radius, y) for radius, y in q.a.inboard_points]
    return worst(*([beside] if face == face else []), *points)


def _to_point(q: Quantities, radius: float, y: float) -> Outcome:
    """One point of strut or arms; the tolerance holds what a tyre as wide and as large as lawful loses."""
    limit, inner = q.a.required_inboard_clearance_mm, q.flush_faces[0] + q.s.thickness_mm
    gap = _gap_to_point(inner, q.t.diameter, radius, y)
    grown = _gap_to_point(inner - q.face_growth, q.t.diameter + q.t.diameter_tol, radius, y)
    return Outcome(gap, limit, gap - limit, q.place_tolerance + (gap - grown))


def _is_unknown(margin: Any) -> bool:
    return bool(np.isnan(margin).any())


def outboard_position(q: Quantities) -> Outcome:
    """Outer face of tyre or rim to the arch lip less the required cover. Tolerance as inboard."""
    limit, outer = q.a.arch_lip_mm - q.a.required_cover_mm, q.flush_faces[1]
    margin = (limit - outer) - q.s.thickness_mm
    if _is_unknown(margin):
        margin = definite_no(margin, limit - (q.half_rim - q.wheel_offsets[1]) - q.s.thickness_mm)
    return Outcome(lambda: limit - margin, limit, margin, q.position_tolerance)


def wheel_cover(q: Quantities) -> Outcome | None:
    """Tyre's outer face covered by the arch from 30 deg ahead to 50 deg behind the vertical.

    The arch is taken to run over the sector, and to end low enough behind, as the vehicle was made, unless
    its angles and the height of its rear edge are stated: too small an angle is a no, in degrees, too high an
    edge one in mm. Not for a single wheel. Tolerance: the place's and what the tyre may be wider.
    """
    if q.a.wheels == 1:
        return None
    uncovered = q.section_width * 0.5 - q.wheel_offsets[1] - q.a.arch_lip_mm
    cover = Outcome(NAN, q.a.arch_lip_mm, -uncovered - q.s.thickness_mm, q.place_tolerance + q.half_growth)
    stated = [
        Outcome(q.a.guard_front_deg, COVER_FRONT_DEG, q.a.guard_front_deg - COVER_FRONT_DEG, unit=1),
        Outcome(q.a.guard_rear_deg, COVER_REAR_DEG, q.a.guard_rear_deg - COVER_REAR_DEG, unit=1),
        Outcome(
            q.a.guard_rear_edge_mm, REAR_EDGE_MM, REAR_EDGE_MM - q.a.guard_rear_edge_mm, q.a.tolerance_mm
        ),
    ]
    failing = [row for row in stated if row.margin < -EPSILON]
    if failing:
        return worst(*failing)
    doubtful = [row for row in stated if row.margin < row.tolerance - EPSILON]
    if doubtful:
        return worst(cover._replace(value=q.outer_face), *doubtful)
    return cover._replace(value=lambda: q.outer_face)


def _beyond(q: Quantities) -> tuple[Any, Any]:
    """How far the wheel reaches beyond the original, mm: in radius, and at the face that moved further."""
    higher = most(0.5 * (q.t.diameter - q.a.original_diameter), 0.0)
    inner, outer = q.a.original_inner - q.flush_faces[0], q.flush_faces[1] - q.a.original_outer
    # The larger of inner - spacer and outer + spacer, worked out with one step that varies with the spacer.
    wider = 0.5 * (inner + outer) + abs(q.s.thickness_mm + 0.5 * (outer - inner))
    return higher, most(wider, 0.0)


def lock_sweep(q: Quantities) -> Outcome | None:
    """Steered wheels through full lock and full bump: inside what the original swept, or by free space, mm.

    Inside the original wheel's envelope (inner and outer face, radius) it fits. Beyond it the free space
    measured around the original at full lock and bump decides, less the clearance that stays; where nobody
    measured it, the row is `measure`. Tolerance: axle, wheel, spacer and the tyre's lawful growth.
    """
    if not q.a.steered or q.a.wheels == 1:
        return None
    higher, wider = _beyond(q)
    # Whatever lock and bump do, they carry new and original alike: the free space around the original shrinks
    # by no more than the corner that moved furthest.
    if q.a.lock_free_mm != q.a.lock_free_mm:
        both = higher + wider
        return Outcome(lambda: (higher * higher + wider * wider) ** 0.5, NAN, 0.0 * both, both)
    excess = (higher * higher + wider * wider) ** 0.5
    if _is_unknown(excess):
        # What is known of it may be too much already: the radius, and the width wherever the wheel stands.
        widest = q.half_width - 0.5 * (q.a.original_outer - q.a.original_inner)
        least_mm = (known_or(higher, 0.0) ** 2 + most(known_or(widest, 0.0), 0.0) ** 2) ** 0.5
        # Where nothing is known to stand out it may stay inside the original, however little is free.
        free_mm = most(q.a.lock_free_mm - q.a.required_inboard_clearance_mm, 0.0)
        too_much = least_mm > free_mm + EPSILON
        excess = known_or(excess, pick(too_much, least_mm, NAN))
    inside = excess <= EPSILON
    limit = q.a.lock_free_mm - q.a.required_inboard_clearance_mm
    growth = q.place_tolerance + q.face_growth + 0.5 * q.t.diameter_tol
    return Outcome(excess, limit, pick(inside, 0.0, limit - excess), pick(inside, 0.0, growth))


def twin_spacing(q: Quantities) -> Outcome | None:
    """Distance of twin wheels' centres against the tyre's width and the room between, mm.

    Twins stand with their mounting faces together, so their centres are twice the offset apart. Tolerance:
    both wheels and what both tyres may be wider.
    """
    if not q.a.twin:
        return None
    apart = 2 * abs(q.w.offset_mm)
    wanted = known_or(q.t.dual_spacing, (1 + TWIN_GAP_SHARE) * q.section_width)
    return Outcome(apart, wanted, apart - wanted, 2 * q.w.tolerance_mm + 2 * q.half_growth)


def arch_diameter(q: Quantities) -> Outcome:
    """Overall diameter against the arch's, less twice the travel if stated. Tolerance: axle and tyre."""
    limit = q.a.arch_diameter_mm - 2 * q.a.suspension_travel_mm
    return Outcome(q.t.diameter, limit, limit - q.t.diameter, q.a.tolerance_mm + q.t.diameter_tol)


def track_change_mm(q: Quantities) -> Any:
    """Change of track, mm; positive when it grows. That of twins is taken midway between them."""
    return 2 * _shift_mm(q)


def _shift_mm(q: Quantities) -> Any:
    """How far the middle of an axle end's wheel, or of its twins, moves outboard, mm."""
    return q.s.thickness_mm if q.a.twin else q.a.original_offset - q.effective_offset


def track_change(q: Quantities) -> Outcome | None:
    """Change of track, per cent of the original, against the limit of its direction.

    Wider, up to the usual 2 % fits; from there to the limit (4 %) local codes commonly ask for an approval,
    so the tolerance is that band and the row answers `measure`. Narrower makes the vehicle less steady: half
    a per cent fits, 1 % is the limit. All are common practice, no source.
    """
    if q.a.wheels == 1:
        return None
    value = track_change_mm(q) * 100 / q.a.original_track_mm
    usual = least(q.a.track_change_usual_pct, NARROWING_USUAL_PCT)
    limit = least(q.a.track_change_limit_pct, NARROWING_LIMIT_PCT)
    narrower = value < -EPSILON
    return Outcome(
        value,
        pick(narrower, -limit, q.a.track_change_limit_pct),
        pick(narrower, limit + value, q.a.track_change_limit_pct - value),
        pick(narrower, limit - usual, max(q.a.track_change_limit_pct - q.a.track_change_usual_pct, 0.0)),
    )


def bearing_moment(q: Quantities) -> Outcome:
    """Change of the wheel load's moment about the bearing, N m: load times shift of the wheel's centre."""
    force = q.a.axle_load_kg / q.a.wheels * STANDARD_GRAVITY
    shift = _shift_mm(q) / 1000
    nothing = float("nan")
    return Outcome(force * shift, nothing, nothing)
