"""How the wheel sits on the hub: bolt circle, bore, spigot, spacer, seat, fasteners."""

from typing import Any

from .arithmetic import NAN, differs, known_or, least, most, pick
from .defaults import (
    BOLT_ON_LEAST_MM,
    LIP_WALL_MM,
    SLIP_ON_LEAST_MM,
    SLIP_ON_MOST_MM,
)
from .numbers import BOLT_ON, NO_SPACER, SLIP_ON
from .outcome import Outcome, definite_no, worse, worst
from .quantities import Quantities

BOLT_CIRCLE_TOLERANCE_MM = 0.1
SPIGOT_ENGAGEMENT_MM = 3.0  # common practice, no source
LENGTH_STEP_MM = 3.0  # common practice, no source: to the next stocked length, up or down
_INF = float("inf")


def _circle(count: Any, circle: Any, wanted_count: Any, wanted_circle: Any) -> Outcome:
    holes, gap = abs(count - wanted_count), abs(circle - wanted_circle)
    same = pick(holes > 0, -holes, pick(holes == 0, _INF, NAN))
    return worse(
        Outcome(circle, wanted_circle, BOLT_CIRCLE_TOLERANCE_MM - gap),
        Outcome(count, wanted_count, same, unit=1),
    )


def bolt_circle(q: Quantities) -> Outcome | None:
    """Same hole count, circle within 0.1 mm; a bolt-on spacer may change both. Catalogue: tolerance 0."""
    if not q.a.bolted:
        return None
    a, s = q.a, q.s
    bolt_on = s.kind == BOLT_ON
    count = pick(bolt_on, known_or(s.wheel_bolt_count, a.bolt_count), a.bolt_count)
    circle = pick(bolt_on, known_or(s.wheel_bolt_circle_mm, a.bolt_circle_mm), a.bolt_circle_mm)
    wheel = _circle(q.w.bolt_count, q.w.bolt_circle_mm, count, circle)
    hub = _circle(
        known_or(s.bolt_count, a.bolt_count),
        known_or(s.bolt_circle_mm, a.bolt_circle_mm),
        a.bolt_count,
        a.bolt_circle_mm,
    )
    return worse(wheel, hub)


def wheel_spigot(q: Quantities) -> Any:
    """Diameter of the spigot the wheel is centred on, mm: the spacer's own, else the hub's.

    A spacer repeats on the wheel's side what it is bored for, unless it says otherwise.
    """
    hub = q.a.spigot_diameter_mm
    lip = known_or(q.s.spigot_diameter_mm, _spacer_hub(q))
    return pick(q.own_spigot > 0, lip, hub)


def _spacer_hub(q: Quantities) -> Any:
    """Diameter of the hub that the spacer is bored for, mm; not known, it is this one."""
    return most(q.a.spigot_diameter_mm, known_or(q.s.bore_mm, q.a.spigot_diameter_mm))


def centre_bore(q: Quantities) -> Outcome | None:
    """Bore of wheel and spacer no smaller than their spigot. Machined sizes: tolerance 0.

    A wheel that would go over the hub but not over what the spacer is bored for is unknown, where the spacer
    does not say how wide its own spigot is.
    """
    if not q.a.bolted:
        return None
    spigot, hub = wheel_spigot(q), q.a.spigot_diameter_mm
    gap = q.w.bore_mm - spigot
    unsaid = (q.own_spigot > 0) & (q.s.spigot_diameter_mm != q.s.spigot_diameter_mm)
    wheel = Outcome(q.w.bore_mm, spigot, pick(unsaid & (gap < 0) & (q.w.bore_mm >= hub), NAN, gap))
    hub_gap = pick(q.s.kind == NO_SPACER, float("inf"), q.s.bore_mm - q.a.spigot_diameter_mm)
    return worse(wheel, Outcome(q.s.bore_mm, q.a.spigot_diameter_mm, hub_gap))


def spigot_engagement(q: Quantities) -> Outcome | None:
    """Spigot left after the spacer, or the spacer's own. Tolerance: the axle's, where the hub's counts."""
    if not q.a.bolted:
        return None
    left = q.a.spigot_height_mm - q.s.thickness_mm
    own = q.own_spigot > 0
    # A spacer that does not state its spigot may have one: too little left is then unknown, not a no.
    doubtful = (q.s.kind != NO_SPACER) & (q.s.spigot_height_mm != q.s.spigot_height_mm)
    left = pick(doubtful & (left < SPIGOT_ENGAGEMENT_MM), NAN, left)
    value = pick(own, q.own_spigot, left)
    tolerance = pick(own, q.s.tolerance_mm, q.a.tolerance_mm + q.s.tolerance_mm)
    return Outcome(value, SPIGOT_ENGAGEMENT_MM, value - SPIGOT_ENGAGEMENT_MM, tolerance)


def _recess(q: Quantities) -> Any:
    """How far the hub's spigot may reach into the spacer's own: no lip without a wall around the spigot.

    A lip of the hub's own diameter, or of the spacer's bore, leaves none, whatever recess is stated.
    """
    wall = 0.5 * (wheel_spigot(q) - _spacer_hub(q))
    return pick(wall >= LIP_WALL_MM, q.s.spigot_recess_mm, 0.0)


def spacer_kind(q: Quantities) -> Outcome | None:
    """Thickness of the spacer: least and most for its kind, and over what stands out of the hub.

    A spacer with its own spigot must be as thick as the hub's spigot is high, or it does not seat; on hubs
    with studs a bolt-on one must be as thick as the studs are long, less the wheel's pockets. Two spacers on
    one side are a no. Tolerance: the spacer's and the axle's where a hub's length decides; the limits of its
    kind are meant for the thickness it is sold by.
    """
    s, tol = q.s, q.a.tolerance_mm
    least_mm = known_or(s.min_thickness_mm, pick(s.kind == BOLT_ON, BOLT_ON_LEAST_MM, SLIP_ON_LEAST_MM))
    least_mm = least_mm + 0.0 * s.kind
    most_mm = known_or(s.max_thickness_mm, pick(s.kind == SLIP_ON, SLIP_ON_MOST_MM, _INF + 0.0 * s.kind))
    spigot = pick(q.own_spigot > 0, q.a.spigot_height_mm - _recess(q), 0.0)
    rows = [
        Outcome(s.thickness_mm, 1.0, pick(s.count > 1, 1.0 - s.count, _INF)),
        Outcome(s.thickness_mm, least_mm, s.thickness_mm - least_mm),
        Outcome(s.thickness_mm, most_mm, most_mm - s.thickness_mm),
        Outcome(s.thickness_mm, spigot, s.thickness_mm - spigot, pick(spigot > 0, tol + s.tolerance_mm, 0.0)),
    ]
    if q.a.nuts:
        studs = pick(s.kind == BOLT_ON, q.a.stud_length_mm - q.w.pocket_depth_mm, 0.0)
        rows.append(
            Outcome(s.thickness_mm, studs, s.thickness_mm - studs, pick(studs > 0, tol + s.tolerance_mm, 0.0))
        )
    found, none = worst(*rows), s.kind == NO_SPACER
    return Outcome(
        s.thickness_mm,
        pick(none, 0.0, found.limit),
        pick(none, 0.0, found.margin),
        pick(none, 0.0, found.tolerance),
    )


def seat(q: Quantities) -> Outcome | None:
    """Wheel and fastener have the same seat; counts mismatches. A fastener not given is got to suit."""
    if not q.a.bolted:
        return None
    mismatch = differs(q.w.seat, q.f.seat if q.f.given else q.w.seat)
    return Outcome(mismatch, 0.0, 0.0 - mismatch)


def _parts_tolerance(q: Quantities) -> Any:
    return q.w.tolerance_mm + q.s.tolerance_mm + q.f.tolerance_mm


def fastener_length(q: Quantities) -> Outcome | None:
    """Shank against original + spacer + difference of seat thickness, one stocked step either way.

    For studs: their length against metal held + least engagement. Tolerance: wheel, spacer and fastener;
    for studs the axle's as well.
    """
    if not (q.a.bolted and q.a.fastener_known):
        return None if not q.a.bolted else Outcome(NAN, NAN, NAN)
    if q.a.nuts:
        length = pick(q.s.kind == BOLT_ON, q.s.stud_length_mm, q.a.stud_length_mm)
        needed, least_needed = q.grip + q.f.least_engagement, q.through + q.f.least_engagement
        margin = definite_no(length - needed, length - least_needed)
        return Outcome(length, known_or(needed, least_needed), margin, q.a.tolerance_mm + _parts_tolerance(q))
    return Outcome(
        q.shank, q.needed_shank, LENGTH_STEP_MM - abs(q.shank - q.needed_shank), _parts_tolerance(q)
    )


def engaged_mm(q: Quantities) -> Any:
    """Length of thread engaged: what reaches it, no more than there is, none in another thread."""
    engaged = most(least(q.reach, q.thread_depth), 0.0)
    other = differs(q.f.thread_code, q.a.thread_code)
    return pick(other > 0, 0.0, engaged + 0.0 * other)


def _best_reach(q: Quantities) -> Any:
    """Reach, or the most it could be where the wheel's metal is not known: through the spacer alone."""
    whole = q.f.shank_mm if q.f.given else NAN
    if q.a.nuts:
        whole = pick(q.s.kind == BOLT_ON, q.s.stud_length_mm, q.a.stud_length_mm)
    return known_or(known_or(q.reach, whole - q.through), _INF)


def _least_engagement(q: Quantities) -> Any:
    """Least engaged length: for the thread, more where a spacer's thread is cut in aluminium; NaN between.

    A spacer's material that is not known matters only to a length that steel would bear and aluminium not.
    """
    if q.a.nuts:
        return q.f.least_engagement
    strong, soft, engaged = q.f.least_engagement, q.f.least_in_aluminium, engaged_mm(q)
    unknown = pick(engaged < strong, strong, pick(engaged >= soft, soft, NAN))
    by_material = pick(q.s.strong_thread == 1, strong, pick(q.s.strong_thread == 0, soft, unknown))
    return pick(q.s.kind == BOLT_ON, by_material, strong)


def thread_engagement(q: Quantities) -> Outcome | None:
    """Engaged length against the least for the thread, mm.

    Tolerance: what the engagement loses when wheel, spacer and fastener are all at their worst, or the
    thread's depth (measured on the vehicle, the axle's tolerance) is, whichever then limits it. The bolts
    that hold a bolt-on spacer to the hub are judged with the wheel's where their shank is stated.
    """
    if not (q.a.bolted and q.a.fastener_known):
        return None if not q.a.bolted else Outcome(NAN, NAN, NAN)
    engaged, wanted = engaged_mm(q), _least_engagement(q)
    reach_tol = _parts_tolerance(q) + (q.a.tolerance_mm if q.a.nuts else 0.0)
    depth_tol = (
        q.f.tolerance_mm if q.a.nuts else pick(q.s.kind == BOLT_ON, q.s.tolerance_mm, q.a.tolerance_mm)
    )
    lost = most(least(q.reach - reach_tol, q.thread_depth - depth_tol), 0.0)
    loss = pick(engaged > lost, engaged - lost, 0.0)
    best, lowest = most(least(_best_reach(q), known_or(q.thread_depth, _INF)), 0.0), q.f.least_engagement
    margin = definite_no(engaged - wanted, best - lowest)
    limit = pick(margin == margin, known_or(wanted, lowest), wanted)
    wheel = Outcome(known_or(engaged, best), limit, margin, loss)
    return wheel if q.a.nuts else worse(wheel, _hub_bolts(q))


def _hub_bolts(q: Quantities) -> Outcome:
    """The bolts between hub and bolt-on spacer; nothing to judge where they are not stated."""
    stated = (q.s.kind == BOLT_ON) & (q.s.hub_shank_mm == q.s.hub_shank_mm)
    engaged = least(q.s.hub_shank_mm - q.s.hub_seat_thickness_mm, q.a.hub_thread_mm)
    wanted = q.f.least_engagement
    return Outcome(
        engaged,
        wanted,
        pick(stated, most(engaged, 0.0) - wanted, _INF),
        pick(stated, q.a.tolerance_mm + q.s.tolerance_mm, 0.0),
    )


def fastener_protrusion(q: Quantities) -> Outcome | None:
    """End of the bolt past the hub's thread against the free depth there, mm; negative when short of it.

    Behind a bolt-on spacer the hub face stands at once. Tolerance: thread depth and free depth are both
    measured on the vehicle (twice the axle's), then wheel, spacer and fastener.
    """
    if q.a.nuts or not q.a.bolted:
        return None
    if not q.a.fastener_known:
        return Outcome(NAN, NAN, NAN)
    bolt_on = q.s.kind == BOLT_ON
    end = q.reach - pick(bolt_on, q.s.thickness_mm, q.a.hub_thread_mm + 0.0 * q.s.kind)
    free = pick(bolt_on, 0.0, q.a.free_depth_behind_hub_mm)
    return Outcome(end, free, free - end, pick(bolt_on, 0.0, 2 * q.a.tolerance_mm) + _parts_tolerance(q))
