"""What a fit brings along: fasteners of the right length, centring rings, measurements, missing data."""

from dataclasses import dataclass
from typing import Any

from .defaults import RING_LEAST_GAP_MM
from .formulas_mounting import wheel_spigot
from .rows import Check
from .said import Messages, as_dict, message, told
from .wording import Fit, length_sum


@dataclass(frozen=True)
class Need:
    """One thing needed. `numbers` holds its sizes with the unit in each name; `count` is per axle."""

    what: str
    messages: Messages
    count: int | None = None
    numbers: tuple[tuple[str, float | str], ...] = ()

    @property
    def message(self) -> str:
        """What is needed, in English."""
        return told(self.messages)

    def as_dict(self) -> dict[str, Any]:
        """Return the need as plain data."""
        need = {"what": self.what, "count": self.count, **dict(self.numbers), "message": self.message}
        return need | as_dict(self.messages)


def needs_of(fit: Fit, checks: tuple[Check, ...]) -> tuple[Need, ...]:
    """Return all needs, parts first, then what to measure, then what to find out."""
    parts = (
        [_fasteners(fit), _hub_bolts(fit), _studs(fit), *_rings(fit)] if fit.axle.mounting == "bolted" else []
    )
    return (*(need for need in parts if need), *needs_of_rows(checks))


def needs_of_rows(checks: tuple[Check, ...]) -> tuple[Need, ...]:
    """Return what rows ask for: measurements, then data."""
    found = [_measure(row) for row in checks if row.verdict == "measure"]
    asked: dict[str, Need] = {}
    for row in checks:
        for name in row.missing:
            asked.setdefault(name, _input(name))
    return tuple(found + list(asked.values()))


def _input(name: str) -> Need:
    return Need("input", (message("need.input", field=name),), numbers=(("field", name),))


def _count(fit: Fit) -> int | None:
    count = fit.axle.bolt_count
    if fit.spacer and fit.spacer.kind == "bolt_on":
        count = fit.spacer.wheel_bolt_count or count
    return None if count is None else count * fit.axle.wheels


def _text(name: str, value: str | None) -> tuple[tuple[str, str], ...]:
    return ((name, value),) if value else ()


def _fasteners(fit: Fit) -> Need | None:
    """Name the fasteners to get: for bolts when length or seat differ from the original or the given ones."""
    q = fit.numbers
    if fit.axle.fastener == "nut":
        return _nuts(fit)
    needed, seat = q.needed_shank, fit.wheel.seat
    if fit.axle.fastener is None or needed != needed:
        return None
    have = fit.fastener or fit.axle
    have_shank = fit.axle.original_shank_mm if fit.fastener is None else fit.fastener.shank_mm
    same_seat = (
        seat is None
        or have.seat is None
        or q.w.seat == q.f.seat
        or (fit.fastener is None and q.w.seat == q.a.seat)
    )
    if have_shank is not None and abs(have_shank - needed) < 0.005 and same_seat:
        return None
    numbers: tuple[tuple[str, float | str], ...] = (
        ("shank_mm", round(float(needed), 3)),
        *_text("seat", seat),
        *_text("thread", fit.axle.thread),
        *_text("property_class", fit.axle.property_class),
        ("kind", "bolt"),
    )
    return Need(
        "fastener",
        (message("need.bolts", shank_mm=needed, sum_mm=length_sum(fit)),),
        _count(fit),
        numbers,
    )


def _hub_bolts(fit: Fit) -> Need | None:
    """Name the bolts between hub and bolt-on spacer, so that nobody forgets them."""
    spacer, count = fit.spacer, fit.axle.bolt_count
    if spacer is None or spacer.kind != "bolt_on" or fit.axle.fastener is None:
        return None
    numbers = (*_text("thread", fit.axle.thread), ("kind", fit.axle.fastener))
    number = None if count is None else count * fit.axle.wheels
    return Need("hub_fastener", (message("need.hub_bolts"),), number, numbers)


def _nuts(fit: Fit) -> Need | None:
    seat = fit.wheel.seat
    have = fit.axle.seat if fit.fastener is None else fit.fastener.seat
    if seat is None or have is None or have == seat:
        return None
    numbers = (("seat", seat), *_text("thread", fit.axle.thread), ("kind", "nut"))
    return Need("fastener", (message("need.nuts", wheel_seat=seat),), _count(fit), numbers)


def _studs(fit: Fit) -> Need | None:
    """Longer studs, when those there leave too little thread for the nut."""
    q = fit.numbers
    if fit.axle.fastener != "nut" or (fit.spacer and fit.spacer.kind == "bolt_on"):
        return None
    needed = q.grip + q.f.least_engagement
    if not q.a.stud_length_mm < needed:
        return None
    return Need(
        "stud",
        (message("need.studs", stud_mm=needed),),
        _count(fit),
        (("length_mm", round(float(needed), 3)),),
    )


def _rings(fit: Fit) -> list[Need]:
    q = fit.numbers
    pairs = [(fit.wheel.bore_mm, float(wheel_spigot(q)), "wheel")]
    if fit.spacer:
        pairs.append((fit.spacer.bore_mm, q.a.spigot_diameter_mm, "spacer"))
    return [
        Need(
            "centring_ring",
            (message(f"need.ring_{where}", inner_mm=inner, outer_mm=outer),),
            fit.axle.wheels,
            (("inner_mm", inner), ("outer_mm", float(outer))),
        )
        for outer, inner, where in pairs
        if outer is not None and outer - inner > RING_LEAST_GAP_MM + 1e-9
    ]


def _measure(row: Check) -> Need:
    return Need("measure", (message("need.measure"), *row.messages), numbers=(("check", row.id),))
