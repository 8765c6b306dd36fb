"""What each row says: the finding in plain words, then what to do about it."""

from collections.abc import Callable
from dataclasses import dataclass

from .designation import Tyre
from .formulas_mounting import Outcome
from .names import split_thread
from .parts import Axle, Fastener, Spacer, Wheel
from .quantities import RIM_FLANGE_MM, Quantities


@dataclass(frozen=True)
class Fit:
    """The parts of one fit with their numbers."""

    axle: Axle
    wheel: Wheel
    tyre: Tyre
    spacer: Spacer | None
    fastener: Fastener | None
    numbers: Quantities


Words = Callable[[Fit, Outcome, str], str]


def plain(value: float, places: int = 1) -> str:
    """Write a number with at most `places` decimals and no trailing zeros."""
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _choose(verdict: str, fits: str, no: str) -> str:
    return no if verdict == "no" else fits


def bolt_circle(fit: Fit, row: Outcome, verdict: str) -> str:
    if row.unit == 1:
        return f"{plain(row.value)} holes against {plain(row.limit)}: this wheel cannot be bolted on."
    pair = f"bolt circle {plain(row.value, 2)} mm on {plain(row.limit, 2)} mm"
    return _choose(
        verdict,
        f"Hole count agrees, {pair}.",
        f"Hole count agrees but {pair}: only a bolt-on spacer made for both would join them.",
    )


def centre_bore(fit: Fit, row: Outcome, verdict: str) -> str:
    pair = f"bore {plain(row.value, 2)} mm on a {plain(row.limit, 2)} mm spigot"
    if verdict == "no":
        return f"{pair.capitalize()}: it does not go over the spigot."
    if row.margin > 0.1:
        return (
            f"{pair.capitalize()}: needs a centring ring {plain(row.limit, 2)} to {plain(row.value, 2)} mm."
        )
    return f"{pair.capitalize()}: centred by the hub."


def spigot_engagement(fit: Fit, row: Outcome, verdict: str) -> str:
    whose = "the spacer's own spigot" if fit.numbers.own_spigot > 0 else "the hub's spigot"
    left = f"{plain(max(row.value, 0))} mm of {whose} centres the wheel, {plain(row.limit)} mm is wanted"
    return _choose(verdict, f"{left}.", f"{left}: take a spacer with its own spigot.")


def spacer_kind(fit: Fit, row: Outcome, verdict: str) -> str:
    spacer = fit.spacer
    if spacer is None:
        return "No spacer."
    kind = "bolt-on" if spacer.kind == "bolt_on" else "slip-on"
    if spacer.count > 1:
        return f"{spacer.count} spacers on one side: fit one of the whole thickness instead."
    text = f"A {kind} spacer of {plain(row.value)} mm; it needs {plain(row.limit)} mm here"
    return _choose(verdict, f"{text}.", f"{text}: too thin for its kind, or for what stands out of the hub.")


def seat(fit: Fit, row: Outcome, verdict: str) -> str:
    wheel, own = fit.wheel.seat, fit.fastener.seat if fit.fastener else fit.wheel.seat
    if verdict == "no":
        return f"The wheel's seat is {wheel}, the fastener's {own}: get fasteners with {wheel}."
    if fit.fastener is None and fit.axle.seat not in (None, wheel):
        return f"The wheel's seat is {wheel}: the original fasteners ({fit.axle.seat}) must not be used."
    return f"Wheel and fastener both have {wheel}."


def length_sum(fit: Fit) -> str:
    """Write how the needed shank comes about: `27 + 15`."""
    a, q = fit.numbers.a, fit.numbers
    seat_change = q.w.seat_thickness - a.original_seat_thickness
    parts = [plain(a.original_shank)]
    if q.through:
        parts.append(f"+ {plain(q.through)}")
    if abs(seat_change) > 0.005:
        parts.append(f"{'+' if seat_change > 0 else '-'} {plain(abs(seat_change))}")
    return " ".join(parts)


def fastener_length(fit: Fit, row: Outcome, verdict: str) -> str:
    if fit.axle.fastener == "nut":
        text = f"Studs of {plain(row.value)} mm; metal held and least thread take {plain(row.limit)} mm"
        return _choose(verdict, f"{text}.", f"{text}: longer studs are needed.")
    needs = f"needs {plain(row.limit)} mm bolts: {length_sum(fit)}"
    if fit.fastener is None:
        unchanged = abs(row.limit - fit.numbers.a.original_shank) < 0.005
        return f"Original length, {plain(row.limit)} mm." if unchanged else f"This fit {needs}."
    if abs(row.value - row.limit) < 0.005:
        return f"{plain(row.value)} mm bolts are right: {length_sum(fit)}."
    gap = row.value - row.limit
    fault = f"{plain(abs(gap))} mm too {'long' if gap > 0 else 'short'}"
    text = f"{plain(row.value)} mm bolts are {fault}; it {needs}"
    stocked = f"{text}; as the next stocked length they will do if thread and free depth agree."
    return _choose(verdict, stocked, f"{text}.")


def thread_engagement(fit: Fit, row: Outcome, verdict: str) -> str:
    thread = (fit.fastener or fit.axle).thread or "this thread"
    if fit.fastener and fit.fastener.thread != fit.axle.thread and fit.numbers.f.given and row.value == 0:
        return (
            f"The fastener's thread is {fit.fastener.thread}, the hub's {fit.axle.thread}: never force them."
        )
    pitch = split_thread(thread)[1]
    text = (
        f"{plain(row.value)} mm ({plain(row.value / pitch)} turns) of {thread} engaged, "
        f"{plain(row.limit, 2)} mm ({plain(row.limit / pitch)} turns) wanted"
    )
    return _choose(verdict, f"{text}.", f"{text}: fit longer fasteners.")


def fastener_protrusion(fit: Fit, row: Outcome, verdict: str) -> str:
    where = "spacer" if fit.spacer and fit.spacer.kind == "bolt_on" else "hub"
    if row.value <= 0:
        return f"The bolt ends {plain(-row.value)} mm before the back of the {where}'s thread."
    text = f"The bolt stands {plain(row.value)} mm out behind the {where}, {plain(row.limit)} mm is free"
    return _choose(verdict, f"{text}.", f"{text}: fit shorter bolts, they would strike what turns past.")


def brake_clearance(fit: Fit, row: Outcome, verdict: str) -> str:
    if row.value < 0:
        return f"The brake would stand {plain(-row.value)} mm into the wheel: another wheel, or a spacer."
    text = f"{plain(row.value)} mm between brake and wheel, {plain(row.limit)} mm wanted everywhere"
    return _choose(verdict, f"{text}.", f"{text}: a wheel with more room inside, or a thicker spacer.")


def _wide(fit: Fit) -> str:
    spare = fit.numbers.section_width * 0.02
    return f" A tyre may be made up to {plain(spare)} mm wider per side (UN R30 6.1.4, from memory)."


def inboard_clearance(fit: Fit, row: Outcome, verdict: str) -> str:
    text = f"{plain(row.value)} mm between tyre or rim and the suspension, {plain(row.limit)} mm wanted"
    if verdict == "no":
        return f"{text}: less offset, a thicker spacer or a narrower tyre."
    return f"{text}." + (_wide(fit) if row.margin < fit.numbers.section_width * 0.02 else "")


def outboard_position(fit: Fit, row: Outcome, verdict: str) -> str:
    numbers = fit.numbers
    rim = numbers.half_width > numbers.section_width * 0.5
    what = (
        f"The rim's outer flange ({plain(RIM_FLANGE_MM)} mm past its width)"
        if rim
        else "The tyre's outer face"
    )
    text = f"{what} stands {plain(row.value)} mm out, {plain(row.limit)} mm is allowed"
    if verdict == "no":
        return f"{text}: more offset, a thinner spacer or a narrower tyre."
    return f"{text}." + (_wide(fit) if row.margin < numbers.section_width * 0.02 else "")


def wheel_cover(fit: Fit, row: Outcome, verdict: str) -> str:
    if row.unit == 1:
        return f"The arch covers {plain(row.value)} degrees of {plain(row.limit)}: fit arch extensions."
    stated = fit.axle.guard_front_deg is not None and fit.axle.guard_rear_deg is not None
    arch = "" if stated else " The arch is taken to run over that sector as the vehicle was made."
    if verdict == "no":
        return f"{plain(-row.margin)} mm of tyre uncovered: fit arch extensions or move the wheel in.{arch}"
    return f"The tyre is covered with {plain(row.margin)} mm to spare.{arch} Local codes rule."


def arch_diameter(fit: Fit, row: Outcome, verdict: str) -> str:
    text = f"Overall diameter {plain(row.value)} mm in an arch for {plain(row.limit)} mm"
    return _choose(verdict, f"{text}.", f"{text}: a tyre of less height or a smaller rim.")


def tyre_rim_width(fit: Fit, row: Outcome, verdict: str) -> str:
    if fit.numbers.w.diameter_in != fit.numbers.t.rim_code:
        return f"A {plain(row.limit)} inch tyre does not go on a {plain(row.value)} inch wheel."
    low, high = plain(fit.numbers.t.rim_min), plain(fit.numbers.t.rim_max)
    text = f"The tyre may go on rims of {low} to {high} inches, this one has {plain(row.value)}"
    return _choose(verdict, f"{text}.", f"{text}: another size of tyre for this wheel.")


def tyre_load(fit: Fit, row: Outcome, verdict: str) -> str:
    text = f"The axle's tyres carry {plain(row.limit)} kg, the axle {plain(row.value)} kg"
    return _choose(verdict, f"{text}.", f"{text}: a tyre with a higher load index.")


def tyre_speed(fit: Fit, row: Outcome, verdict: str) -> str:
    text = f"Tyre for {plain(row.value)} km/h, vehicle reaches {plain(row.limit)} km/h"
    return _choose(
        verdict, f"{text}.", f"{text}: a tyre with a higher speed symbol (H stands between U and V)."
    )


def wheel_load(fit: Fit, row: Outcome, verdict: str) -> str:
    text = f"{plain(row.value)} kg on a wheel rated {plain(row.limit)} kg"
    return _choose(verdict, f"{text}.", f"{text}: a wheel with a higher rating.")


def speedometer(fit: Fit, row: Outcome, verdict: str) -> str:
    change = (fit.numbers.circumference_ratio - 1) * 100
    text = f"Rolling circumference changes by {change:+.1f} per cent"
    if verdict == "fits":
        return f"{text}: the speedometer stays within UN R39."
    if verdict == "measure":
        return (
            f"{text}: lawful only if the original read high enough, or not too high; measure it on the road."
        )
    return f"{text}: the speedometer would leave UN R39; a tyre nearer the original's circumference."


def track_change(fit: Fit, row: Outcome, verdict: str) -> str:
    text = f"The track changes by {row.value:+.2f} per cent"
    if verdict == "no":
        return f"{text}, more than {plain(row.limit, 2)}: a thinner spacer or more offset."
    if verdict == "measure":
        return f"{text}, more than is usual: ask whether the local code wants an approval before ordering."
    return f"{text}; local codes rule."


def bearing_moment(fit: Fit, row: Outcome, verdict: str) -> str:
    if row.value != row.value:
        return (
            "The change of moment about the bearing is not known: axle load and original offset are needed."
        )
    return f"The wheel load's moment about the bearing changes by {plain(row.value, 0)} N m."


def clamp_load(fit: Fit, row: Outcome, verdict: str) -> str:
    share = 100 * row.value / row.limit
    text = (
        f"{plain(fit.numbers.a.torque)} N m gives about {plain(row.value / 1000)} kN, "
        f"{plain(share, 0)} per cent of the proof load (K = {fit.axle.nut_factor:g}, dry and clean threads)"
    )
    return _choose(
        verdict, f"{text}.", f"{text}: this fastener would yield; a higher property class is needed."
    )
