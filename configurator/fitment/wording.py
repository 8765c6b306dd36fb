"""What each row says: the finding, then what to do about it, as messages with figures."""

from collections.abc import Callable
from dataclasses import dataclass

from .arithmetic import EPSILON, differs
from .defaults import FITTED_INSIDE_MM, RIM_FLANGE_MM, RING_LEAST_GAP_MM
from .designation import Tyre
from .formulas_mounting import wheel_spigot
from .formulas_space import REAR_EDGE_MM
from .names import split_thread
from .outcome import Outcome
from .parts import Axle, Fastener, Spacer, Wheel
from .pressure import minimum_pressure_bar, pressure_share
from .quantities import Quantities
from .said import Message, Messages, message


@dataclass(frozen=True)
class Fit:
    """The parts of one fit with their numbers."""

    axle: Axle
    wheel: Wheel
    tyre: Tyre
    spacer: Spacer | None
    fastener: Fastener | None
    numbers: Quantities


Words = Callable[[Fit, Outcome, str], Message | Messages]


def _no_or(verdict: str, otherwise: str = "fits") -> str:
    return "no" if verdict == "no" else otherwise


def _no(verdict: str) -> str:
    return "_no" if verdict == "no" else ""


def bolt_circle(fit: Fit, row: Outcome, verdict: str) -> Message:
    if row.unit == 1:
        return message("bolt_circle.holes", hole_count=int(row.value), wanted_count=int(row.limit))
    return message(f"bolt_circle.{_no_or(verdict)}", circle_mm=row.value, wanted_mm=row.limit)


def centre_bore(fit: Fit, row: Outcome, verdict: str) -> Message:
    bore, spigot = row.value, row.limit
    if verdict != "no":
        q = fit.numbers  # The looser of wheel and spacer is told: it is the one that wants a ring.
        pairs = ((q.w.bore_mm, wheel_spigot(q)), (q.s.bore_mm, q.a.spigot_diameter_mm))
        bore, spigot = max(pairs, key=lambda pair: pair[0] - pair[1] if pair[0] == pair[0] else -1.0)
    found = _no_or(verdict, "ring" if bore - spigot > RING_LEAST_GAP_MM else "fits")
    return message(f"centre_bore.{found}", bore_mm=bore, spigot_mm=spigot)


def spigot_engagement(fit: Fit, row: Outcome, verdict: str) -> Message:
    whose = "spacer" if fit.numbers.own_spigot > 0 else "hub"
    left = max(row.value, 0.0)
    return message(f"spigot_engagement.{whose}{_no(verdict)}", left_mm=left, wanted_mm=row.limit)


def spacer_kind(fit: Fit, row: Outcome, verdict: str) -> Message | Messages:
    spacer = fit.spacer
    if spacer is None:
        return message("spacer_kind.none")
    if spacer.count > 1:
        return message("spacer_kind.several", spacer_count=spacer.count)
    kind = "bolt_on" if spacer.kind == "bolt_on" else "slip_on"
    thick = row.margin == row.limit - row.value
    found = "_thick" if thick and verdict == "no" else "_most" if thick else _no(verdict)
    said = message(f"spacer_kind.{kind}{found}", spacer_mm=row.value, wanted_mm=row.limit)
    return (said, message("spacer_kind.hub_bolts")) if kind == "bolt_on" else said


def seat(fit: Fit, row: Outcome, verdict: str) -> Message:
    wheel, own = fit.wheel.seat, fit.fastener.seat if fit.fastener else fit.wheel.seat
    if verdict == "no":
        return message("seat.no", wheel_seat=wheel, fastener_seat=own)
    if fit.fastener is None and fit.axle.seat not in (None, wheel):
        return message("seat.original", wheel_seat=wheel, original_seat=fit.axle.seat)
    return message("seat.fits", wheel_seat=wheel)


def length_sum(fit: Fit) -> list[float]:
    """Return what the needed shank is the sum of: original, spacer, change of seat thickness, mm."""
    a, q = fit.numbers.a, fit.numbers
    seat_change = q.discs * (q.w.seat_thickness_mm - a.original_seat_thickness_mm)
    parts = [a.original_shank_mm] + ([q.through] if q.through else [])
    return parts + ([seat_change] if abs(seat_change) > 0.005 else [])


def fastener_length(fit: Fit, row: Outcome, verdict: str) -> Message:
    if fit.axle.fastener == "nut":
        return message(f"fastener_length.studs{_no(verdict)}", stud_mm=row.value, wanted_mm=row.limit)
    parts = length_sum(fit)
    if fit.fastener is None:
        if abs(row.limit - fit.numbers.a.original_shank_mm) < 0.005:
            return message("fastener_length.original", shank_mm=row.limit)
        return message("fastener_length.needed", wanted_mm=row.limit, sum_mm=parts)
    off = row.value - row.limit
    if abs(off) < 0.005:
        return message("fastener_length.right", shank_mm=row.value, sum_mm=parts)
    found = ("long" if off > 0 else "short") + ("" if verdict == "no" else "_near")
    figures = {"shank_mm": row.value, "off_mm": abs(off), "wanted_mm": row.limit, "sum_mm": parts}
    return message(f"fastener_length.{found}", **figures)


def thread_engagement(fit: Fit, row: Outcome, verdict: str) -> Message:
    thread = (fit.fastener or fit.axle).thread or ""
    if differs(fit.numbers.f.thread_code, fit.numbers.a.thread_code) == 1:
        return message("thread_engagement.other", fastener_thread=thread, hub_thread=fit.axle.thread)
    pitch = split_thread(thread)[1]
    soft = row.limit > fit.numbers.f.least_engagement
    return message(
        f"thread_engagement.{'soft_' if soft else ''}{_no_or(verdict)}",
        engaged_mm=row.value,
        engaged_turns=row.value / pitch,
        thread=thread,
        wanted_mm=row.limit,
        wanted_turns=row.limit / pitch,
    )


def fastener_protrusion(fit: Fit, row: Outcome, verdict: str) -> Message:
    where = "_spacer" if fit.spacer and fit.spacer.kind == "bolt_on" else ""
    if row.value <= 0:
        return message(f"fastener_protrusion.short{where}", short_mm=-row.value)
    found = f"no{where}" if verdict == "no" else "fits"
    return message(f"fastener_protrusion.{found}", out_mm=row.value, free_mm=row.limit)


def brake_clearance(fit: Fit, row: Outcome, verdict: str) -> Message | Messages:
    if row.value < 0:
        return message("brake_clearance.into", into_mm=-row.value)
    found = message(f"brake_clearance.{_no_or(verdict)}", gap_mm=row.value, wanted_mm=row.limit)
    if verdict == "measure" and fit.wheel.fitted_inside_mm is None:
        return (found, message("brake_clearance.fitted", fitted_mm=FITTED_INSIDE_MM))
    return found


def _wider(fit: Fit, row: Outcome, verdict: str) -> Messages:
    """Add how much wider a tyre may be made, where that could use up the room."""
    wider = fit.numbers.half_growth
    if verdict == "no" or row.margin >= wider:
        return ()
    return (message("row.wider", wider_mm=wider),)


def inboard_clearance(fit: Fit, row: Outcome, verdict: str) -> Messages:
    found = message(f"inboard_clearance.{_no_or(verdict)}", gap_mm=row.value, wanted_mm=row.limit)
    return (found, *_wider(fit, row, verdict))


def lock_sweep(fit: Fit, row: Outcome, verdict: str) -> Message:
    if row.value <= EPSILON:
        return message("lock_sweep.inside")
    if row.limit != row.limit:
        return message("lock_sweep.measure", beyond_mm=row.value)
    if verdict == "measure":
        return message("lock_sweep.close", beyond_mm=row.value, free_mm=row.limit, tolerance_mm=row.tolerance)
    return message(f"lock_sweep.{_no_or(verdict)}", beyond_mm=row.value, free_mm=row.limit)


def twin_spacing(fit: Fit, row: Outcome, verdict: str) -> Message:
    return message(f"twin_spacing.{_no_or(verdict)}", apart_mm=row.value, wanted_mm=row.limit)


def outboard_position(fit: Fit, row: Outcome, verdict: str) -> Messages:
    numbers = fit.numbers
    what = "rim" if numbers.half_width > numbers.section_width * 0.5 else "tyre"
    figures = {"face_mm": row.value, "allowed_mm": row.limit}
    figures |= {"flange_mm": RIM_FLANGE_MM} if what == "rim" else {}
    return (message(f"outboard_position.{what}{_no(verdict)}", **figures), *_wider(fit, row, verdict))


def wheel_cover(fit: Fit, row: Outcome, verdict: str) -> Messages:
    if row.unit == 1:
        return (message("wheel_cover.angle", cover_deg=row.value, wanted_deg=row.limit),)
    if row.limit == REAR_EDGE_MM and row.value == fit.axle.guard_rear_edge_mm:
        return (message(f"wheel_cover.edge{_no(verdict)}", edge_mm=row.value, wanted_mm=row.limit),)
    stated = fit.axle.guard_front_deg is not None and fit.axle.guard_rear_deg is not None
    arch = () if stated else (message("wheel_cover.as_made"),)
    if verdict == "no":
        return (message("wheel_cover.no", uncovered_mm=-row.margin), *arch)
    return (message("wheel_cover.fits", spare_mm=row.margin), *arch, message("wheel_cover.codes"))


def arch_diameter(fit: Fit, row: Outcome, verdict: str) -> Message:
    return message(f"arch_diameter.{_no_or(verdict)}", diameter_mm=row.value, arch_mm=row.limit)


def tyre_rim_width(fit: Fit, row: Outcome, verdict: str) -> Message:
    q = fit.numbers
    if q.w.diameter_in != q.t.rim_code:
        return message("tyre_rim_width.diameter", tyre_in=row.limit, rim_in=row.value)
    if verdict == "no":
        found = "narrow" if row.limit == q.t.rim_min else "wide"
        return message(f"tyre_rim_width.{found}", limit_in=row.limit, rim_in=row.value)
    return message("tyre_rim_width.fits", narrowest_in=q.t.rim_min, widest_in=q.t.rim_max, rim_in=row.value)


def tyre_load(fit: Fit, row: Outcome, verdict: str) -> Message | Messages:
    found = message(f"tyre_load.{_no_or(verdict)}", capacity_kg=row.limit, load_kg=row.value)
    if verdict == "no":
        return found
    share = pressure_share(row.value / row.limit)
    pressure = minimum_pressure_bar(fit.tyre, fit.numbers)
    if pressure != pressure:
        return (found, message("tyre_load.pressure_marked", share_pct=100 * share))
    return (found, message("tyre_load.pressure", pressure_bar=pressure))


def tyre_speed(fit: Fit, row: Outcome, verdict: str) -> Message:
    found = "snow" if verdict == "measure" else _no_or(verdict)
    return message(f"tyre_speed.{found}", tyre_kmh=row.value, vehicle_kmh=fit.numbers.a.max_speed_kmh)


def wheel_load(fit: Fit, row: Outcome, verdict: str) -> Message:
    return message(f"wheel_load.{_no_or(verdict)}", load_kg=row.value, rating_kg=row.limit)


def speedometer(fit: Fit, row: Outcome, verdict: str) -> Message:
    return message(f"speedometer.{verdict}", change_pct=(fit.numbers.circumference_ratio - 1) * 100)


def track_change(fit: Fit, row: Outcome, verdict: str) -> Message:
    narrower = "narrower_" if row.value < -EPSILON and verdict != "fits" else ""
    limit = {"limit_pct": abs(row.limit)} if verdict == "no" else {}
    return message(f"track_change.{narrower}{verdict}", change_pct=row.value, **limit)


def bearing_moment(fit: Fit, row: Outcome, verdict: str) -> Message:
    if row.value != row.value:
        return message("bearing_moment.unknown")
    return message("bearing_moment.note", change_nm=row.value)


def clamp_load(fit: Fit, row: Outcome, verdict: str) -> Message:
    proof = fit.numbers.f.proof_load
    loose = row.limit < proof
    found = verdict if verdict == "fits" else f"{'loose' if loose else 'tight'}_{verdict}"
    return message(
        f"clamp_load.{found}",
        torque_nm=fit.numbers.a.torque_nm,
        preload_kn=row.value / 1000,
        share_pct=100 * row.value / proof,
        nut_factor=fit.axle.nut_factor,
    )
