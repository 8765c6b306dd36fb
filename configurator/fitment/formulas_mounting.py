"""How the wheel sits on the hub: bolt circle, bore, spigot, spacer, seat, fasteners."""

from typing import Any, NamedTuple

from .arithmetic import NAN, differs, known_or, least, most, pick
from .quantities import BOLT_ON, NO_SPACER, Quantities
from .threads import preload_n

BOLT_CIRCLE_TOLERANCE_MM = 0.1
SPIGOT_ENGAGEMENT_MM = 3.0  # common practice, no source
SLIP_ON_LEAST_MM = 3.0  # common practice, no source: thinner ones crack
BOLT_ON_LEAST_MM = 20.0  # common practice, no source: room for the bolts' heads in it
LENGTH_STEP_MM = 3.0  # common practice, no source: to the next stocked length, up or down


class Outcome(NamedTuple):
    """A check's numbers; `unit` picks one of the check's units. Floats, or arrays that broadcast.

    `value` may be a function, called for a report; a grid wants only margins and need not pay for it.
    """

    value: Any
    limit: Any
    margin: Any
    tolerance: Any = 0.0
    unit: int = 0


def worse(a: Outcome, b: Outcome) -> Outcome:
    """Return whichever has the smaller margin; an unknown margin counts as the smaller one."""
    first = (a.margin <= b.margin) | (a.margin != a.margin)
    return Outcome(
        pick(first, a.value, b.value),
        pick(first, a.limit, b.limit),
        pick(first, a.margin, b.margin),
        pick(first, a.tolerance, b.tolerance),
        a.unit if first is True else b.unit,
    )


def _circle(count: Any, circle: Any, wanted_count: Any, wanted_circle: Any) -> Outcome:
    holes, gap = abs(count - wanted_count), abs(circle - wanted_circle)
    other_count = holes > 0
    margin = pick(other_count, -holes, BOLT_CIRCLE_TOLERANCE_MM - gap + 0.0 * holes)
    return Outcome(
        pick(other_count, count, circle),
        pick(other_count, wanted_count, wanted_circle),
        margin,
        unit=1 if other_count is True else 0,
    )


def bolt_circle(q: Quantities) -> Outcome | None:
    """Same hole count, circle within 0.1 mm; a bolt-on spacer may change both. Catalogue: tolerance 0."""
    if not q.a.bolted:
        return None
    a, s = q.a, q.s
    bolt_on = s.kind == BOLT_ON
    count = pick(bolt_on, known_or(s.wheel_bolt_count, a.bolt_count), a.bolt_count)
    circle = pick(bolt_on, known_or(s.wheel_bolt_circle, a.bolt_circle), a.bolt_circle)
    wheel = _circle(q.w.bolt_count, q.w.bolt_circle, count, circle)
    hub = _circle(
        known_or(s.bolt_count, a.bolt_count),
        known_or(s.bolt_circle, a.bolt_circle),
        a.bolt_count,
        a.bolt_circle,
    )
    return worse(wheel, hub)


def wheel_spigot(q: Quantities) -> Any:
    """Diameter of the spigot the wheel is centred on, mm: the spacer's own, else the hub's."""
    hub = q.a.spigot_diameter
    return pick(q.own_spigot > 0, known_or(q.s.spigot_diameter, hub), hub)


def centre_bore(q: Quantities) -> Outcome | None:
    """Bore of wheel and spacer no smaller than their spigot. Machined sizes: tolerance 0."""
    if not q.a.bolted:
        return None
    spigot = wheel_spigot(q)
    wheel = Outcome(q.w.bore, spigot, q.w.bore - spigot)
    hub_gap = pick(q.s.kind == NO_SPACER, float("inf"), q.s.bore - q.a.spigot_diameter)
    return worse(wheel, Outcome(q.s.bore, q.a.spigot_diameter, hub_gap))


def spigot_engagement(q: Quantities) -> Outcome | None:
    """Spigot left after the spacer, or the spacer's own. Tolerance: the axle's, where the hub's counts."""
    if not q.a.bolted:
        return None
    left = q.a.spigot_height - q.s.thickness
    own = q.own_spigot > 0
    # A spacer that does not state its spigot may have one: too little left is then unknown, not a no.
    doubtful = (q.s.kind != NO_SPACER) & (q.s.spigot_height != q.s.spigot_height)
    left = pick(doubtful & (left < SPIGOT_ENGAGEMENT_MM), NAN, left)
    value = pick(own, q.own_spigot, left)
    tolerance = pick(own, q.s.tol, q.a.tol + q.s.tol)
    return Outcome(value, SPIGOT_ENGAGEMENT_MM, value - SPIGOT_ENGAGEMENT_MM, tolerance)


def spacer_kind(q: Quantities) -> Outcome | None:
    """Least thickness of the spacer: by its kind, and over what stands out of the hub.

    A spacer with its own spigot must be as thick as the hub's spigot is high, or it does not seat; on hubs
    with studs a bolt-on one must be as thick as the studs are long, less the wheel's pockets. Two spacers on
    one side are a no. Tolerance: the spacer's, and the axle's where a hub's length decides.
    """
    s, tol = q.s, q.a.tol
    by_kind = known_or(s.min_thickness, pick(s.kind == BOLT_ON, BOLT_ON_LEAST_MM, SLIP_ON_LEAST_MM))
    by_kind = by_kind + 0.0 * s.kind
    spigot = pick(q.own_spigot > 0, q.a.spigot_height - s.recess, 0.0)
    studs = pick(s.kind == BOLT_ON, q.a.stud_length - q.w.pocket, 0.0) if q.a.nuts else 0.0
    minimum = most(by_kind, most(spigot, studs))
    worst = most(by_kind, most(spigot, studs) + tol)
    margin = pick(s.count > 1, 1.0 - s.count, s.thickness - minimum)
    none = s.kind == NO_SPACER
    return Outcome(
        s.thickness,
        pick(none, 0.0, minimum),
        pick(none, 0.0, margin),
        pick(none, 0.0, worst - minimum + s.tol),
    )


def seat(q: Quantities) -> Outcome | None:
    """Wheel and fastener have the same seat; counts mismatches. A fastener not given is got to suit."""
    if not q.a.bolted:
        return None
    mismatch = differs(q.w.seat, q.f.seat if q.f.given else q.w.seat)
    return Outcome(mismatch, 0.0, 0.0 - mismatch)


def _parts_tolerance(q: Quantities) -> Any:
    return q.w.tol + q.s.tol + q.f.tol


def fastener_length(q: Quantities) -> Outcome | None:
    """Shank against original + spacer + difference of seat thickness, one stocked step either way.

    For studs: their length against metal held + least engagement. Tolerance: wheel, spacer and fastener;
    for studs the axle's as well.
    """
    if not (q.a.bolted and q.a.fastener_known):
        return None if not q.a.bolted else Outcome(NAN, NAN, NAN)
    if q.a.nuts:
        needed = q.grip + q.f.least_engagement
        length = q.reach + q.grip
        return Outcome(length, needed, length - needed, q.a.tol + _parts_tolerance(q))
    return Outcome(
        q.shank, q.needed_shank, LENGTH_STEP_MM - abs(q.shank - q.needed_shank), _parts_tolerance(q)
    )


def engaged_mm(q: Quantities) -> Any:
    """Length of thread engaged: what reaches it, no more than there is, none in another thread."""
    engaged = most(least(q.reach, q.thread_depth), 0.0)
    return engaged * (1.0 - differs(q.f.thread_code, q.a.thread_code))


def thread_engagement(q: Quantities) -> Outcome | None:
    """Engaged length against the least for the thread, mm.

    Tolerance: what the engagement loses when wheel, spacer and fastener are all at their worst, or the
    thread's depth (measured on the vehicle, the axle's tolerance) is, whichever then limits it.
    """
    if not (q.a.bolted and q.a.fastener_known):
        return None if not q.a.bolted else Outcome(NAN, NAN, NAN)
    engaged = engaged_mm(q)
    reach_tol = _parts_tolerance(q) + (q.a.tol if q.a.nuts else 0.0)
    depth_tol = q.f.tol if q.a.nuts else pick(q.s.kind == BOLT_ON, q.s.tol, q.a.tol)
    worst = most(least(q.reach - reach_tol, q.thread_depth - depth_tol), 0.0)
    loss = pick(engaged > worst, engaged - worst, 0.0)
    return Outcome(engaged, q.f.least_engagement, engaged - q.f.least_engagement, loss)


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
    end = q.reach - pick(bolt_on, q.s.thickness, q.a.hub_thread)
    free = pick(bolt_on, 0.0, q.a.free_depth)
    return Outcome(end, free, free - end, pick(bolt_on, 0.0, 2 * q.a.tol) + _parts_tolerance(q))


def clamp_load(q: Quantities) -> Outcome | None:
    """Preload at the set torque, F = T / (K d), against the proof load, N. Tolerance 0: K is stated."""
    if not q.a.bolted:
        return None
    preload = preload_n(q.a.torque, q.a.nut_factor, q.f.diameter)
    return Outcome(preload, q.f.proof_load, q.f.proof_load - preload)
