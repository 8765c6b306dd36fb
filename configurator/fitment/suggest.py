"""What would suit: spacers towards the arch, tyres near the original, the one change that mends a fit."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from .arithmetic import NO, VERDICTS
from .designation import Tyre
from .grid import filter_grid
from .needs import Need
from .parts import Axle, Fastener, Spacer, Wheel
from .report import FitReport, check_fit
from .said import Message, Messages, message, told
from .tyre_size import drawn_diameter_mm

# What simply fits comes before what must be measured, whatever is nearer.
_RANK = {"fits": 0, "measure": 1, "unknown": 2}


@dataclass(frozen=True)
class Suggestion:
    """One part to take, why, and what the fit is then.

    `kind` tells what `part` is: wheel, tyre, spacer (None: no spacer) or fastener (None: the one `needs`
    names). `measure` is what the ranking goes by: mm to the arch, or per cent of circumference.
    """

    kind: str
    part: Wheel | Tyre | Spacer | Fastener | None
    report: FitReport
    messages: Messages
    measure: float

    @property
    def reason(self) -> str:
        """Why, in English."""
        return "; ".join(told((one,)) for one in self.messages)

    @property
    def fasteners(self) -> tuple[Need, ...]:
        """The bolts, nuts or studs that this fit needs."""
        return tuple(need for need in self.report.needs if need.what in ("fastener", "stud"))


def suggest_spacers(
    axle: Axle,
    wheel: Wheel,
    tyre: Tyre,
    spacers: Sequence[Spacer | None],
    fastener: Fastener | None = None,
    *,
    most: int = 5,
) -> list[Suggestion]:
    """Return the spacers that bring the outer face nearest to the arch and break no check.

    None among the candidates stands for no spacer. What simply fits comes first, then what must be measured,
    then what cannot be decided for want of data; within each the nearest to the arch.
    """
    codes = filter_grid(axle, [wheel], [tyre], spacers, fastener).codes[0, 0]
    found = []
    for spacer in (part for part, code in zip(spacers, codes, strict=True) if code < NO):
        report = check_fit(axle, wheel, tyre, spacer, fastener)
        gap = report.check("outboard_position").margin
        found.append(
            Suggestion("spacer", spacer, report, _of_spacer(spacer, gap, report), _far_if_unknown(gap))
        )
    return sorted(found, key=_order)[:most]


def suggest_tyres(
    axle: Axle,
    wheel: Wheel,
    tyres: Sequence[Tyre],
    spacer: Spacer | None = None,
    fastener: Fastener | None = None,
    *,
    most: int = 5,
) -> list[Suggestion]:
    """Return the tyres that keep the circumference nearest to the original and break no check.

    Ordered as spacers are.
    """
    codes = filter_grid(axle, [wheel], tyres, [spacer], fastener).codes[0, :, 0]
    found = []
    for tyre in (part for part, code in zip(tyres, codes, strict=True) if code < NO):
        report = check_fit(axle, wheel, tyre, spacer, fastener)
        change = report.derived["circumference_change_pct"]
        away = None if change is None else abs(change)
        found.append(Suggestion("tyre", tyre, report, _of_tyre(tyre, change), _far_if_unknown(away)))
    return sorted(found, key=_order)[:most]


def _of_spacer(spacer: Spacer | None, gap: float | None, report: FitReport) -> Messages:
    figures: dict[str, float] = {"spacer_mm": spacer.thickness_mm} if spacer else {}
    found = "suggest.spacer" if spacer else "suggest.no_spacer"
    if gap is None:
        found += "_arch_unknown"
    else:
        figures["left_mm"] = gap
    needs = [one for need in report.needs if need.what in ("fastener", "stud") for one in need.messages]
    return (message(found, **figures), *needs)


def _of_tyre(tyre: Tyre, change: float | None) -> Messages:
    if change is None:
        return (message("suggest.tyre_unknown", tyre=tyre.designation),)
    return (message("suggest.tyre", tyre=tyre.designation, change_pct=change),)


def _far_if_unknown(distance: float | None) -> float:
    return float("inf") if distance is None else distance


def _order(suggestion: Suggestion) -> tuple[int, float]:
    return _RANK[suggestion.report.verdict], suggestion.measure


def single_changes(
    axle: Axle,
    wheel: Wheel,
    tyre: Tyre,
    spacer: Spacer | None = None,
    fastener: Fastener | None = None,
    *,
    wheels: Sequence[Wheel] = (),
    tyres: Sequence[Tyre] = (),
    spacers: Sequence[Spacer | None] = (),
    fasteners: Sequence[Fastener | None] = (),
    most: int = 3,
) -> list[Suggestion]:
    """Return the single changes that turn a failing fit into one that no check forbids.

    At most `most` of each kind, those that simply fit before those to be measured, then the change nearest to
    what was chosen: thickness for a spacer, offset for a wheel, circumference for a tyre, shank length for a
    fastener. Empty when nothing fails, or when no one change mends all of it.
    """
    before = check_fit(axle, wheel, tyre, spacer, fastener)
    if before.verdict != "no":
        return []
    chosen = {"wheel": wheel, "tyre": tyre, "spacer": spacer, "fastener": fastener}
    found: list[Suggestion] = []
    for kind, candidates in (
        ("spacer", spacers),
        ("tyre", tyres),
        ("wheel", wheels),
        ("fastener", fasteners),
    ):
        passing = _passing(axle, chosen, kind, candidates)
        near = sorted(passing, key=lambda each: (each[0], _distance(kind, chosen[kind], each[1])))[:most]
        changes = [_change(axle, chosen, kind, part, before) for _code, part in near]
        found += sorted(changes, key=_order)
    return found


def _passing(
    axle: Axle, chosen: dict[str, Any], kind: str, candidates: Sequence[Any]
) -> list[tuple[int, Any]]:
    """Return (verdict code, part) of the candidates that no check forbids; fasteners one by one."""
    parts = [part for part in candidates if part != chosen[kind]]
    if not parts:
        return []
    if kind == "fastener":
        codes = [VERDICTS.index(check_fit(axle, **(chosen | {"fastener": part})).verdict) for part in parts]
        return [(code, part) for code, part in zip(codes, parts, strict=True) if code < NO]
    lists = {name: [chosen[name]] for name in ("wheel", "tyre", "spacer")} | {kind: parts}
    grid = filter_grid(axle, lists["wheel"], lists["tyre"], lists["spacer"], chosen["fastener"])
    return [(code, part) for code, part in zip(grid.codes.ravel().tolist(), parts, strict=True) if code < NO]


_Size = Callable[[Any], float | None]
_SIZES: dict[str, _Size] = {
    "wheel": lambda wheel: wheel.offset_mm,
    "tyre": lambda tyre: drawn_diameter_mm(tyre),
    "spacer": lambda spacer: spacer.thickness_mm if spacer else 0.0,
    "fastener": lambda fastener: fastener.shank_mm if fastener else None,
}


def _distance(kind: str, before: Any, after: Any) -> float:
    old, new = _SIZES[kind](before), _SIZES[kind](after)
    return float("inf") if old is None or new is None else abs(new - old)


def _change(axle: Axle, chosen: dict[str, Any], kind: str, part: Any, before: FitReport) -> Suggestion:
    report = check_fit(axle, **(chosen | {kind: part}))
    mended = [row.id for row in before.checks if row.verdict == "no"]
    return Suggestion(kind, part, report, (_mends(kind, part, mended),), _distance(kind, chosen[kind], part))


def _mends(kind: str, part: Any, checks: list[str]) -> Message:
    if kind == "spacer":
        if part is None:
            return message("mends.no_spacer", checks=checks)
        return message("mends.spacer", spacer_mm=part.thickness_mm, checks=checks)
    if kind == "tyre":
        return message("mends.tyre", tyre=part.designation, checks=checks)
    if kind == "fastener":
        if part is None or part.shank_mm is None:
            return message("mends.fastener_needed", checks=checks)
        return message("mends.fastener", shank_mm=part.shank_mm, checks=checks)
    sizes = {name: getattr(part, name) for name in ("width_in", "diameter_in", "offset_mm")}
    if None in sizes.values():
        return message("mends.wheel_unknown", checks=checks)
    return message("mends.wheel", **sizes, checks=checks)
