"""What would suit: spacers towards the arch, tyres near the original, the one change that mends a fit."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from .arithmetic import NO
from .designation import Tyre
from .grid import filter_grid
from .needs import Need
from .parts import Axle, Fastener, Spacer, Wheel
from .report import FitReport, check_fit
from .wording import plain

_RANK = {"fits": 0, "measure": 0, "unknown": 1}


@dataclass(frozen=True)
class Suggestion:
    """One part to take, why, and what the fit is then.

    `kind` tells what `part` is: wheel, tyre, spacer (None: no spacer) or fastener (None: the one `needs`
    names). `measure` is what the ranking goes by: mm to the arch, or per cent of circumference.
    """

    kind: str
    part: Wheel | Tyre | Spacer | Fastener | None
    report: FitReport
    reason: str
    measure: float

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
    """Return the spacers that bring the outer face nearest to the arch and break no check, nearest first.

    None among the candidates stands for no spacer. Fits that cannot be decided for want of data come last.
    """
    codes = filter_grid(axle, [wheel], [tyre], spacers, fastener).codes[0, 0]
    found = []
    for spacer in (part for part, code in zip(spacers, codes, strict=True) if code < NO):
        report = check_fit(axle, wheel, tyre, spacer, fastener)
        gap = report.check("outboard_position").margin
        name = f"{plain(spacer.thickness_mm)} mm spacer" if spacer else "no spacer"
        reason = f"{name}: " + ("arch not known" if gap is None else f"{plain(gap)} mm left to the arch")
        reason += "".join(f"; {need.message}" for need in report.needs if need.what in ("fastener", "stud"))
        found.append(Suggestion("spacer", spacer, report, reason, float("inf") if gap is None else gap))
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
    """Return the tyres that keep the circumference nearest to the original and break no check."""
    codes = filter_grid(axle, [wheel], tyres, [spacer], fastener).codes[0, :, 0]
    found = []
    for tyre in (part for part, code in zip(tyres, codes, strict=True) if code < NO):
        report = check_fit(axle, wheel, tyre, spacer, fastener)
        change = report.derived["circumference_change_pct"]
        reason = (
            f"{tyre.designation}: original circumference not known"
            if change is None
            else f"{tyre.designation}: circumference {change:+.1f} per cent"
        )
        found.append(
            Suggestion("tyre", tyre, report, reason, float("inf") if change is None else abs(change))
        )
    return sorted(found, key=_order)[:most]


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

    At most `most` of each kind, the change nearest to what was chosen first: thickness for a spacer, offset
    for a wheel, circumference for a tyre, shank length for a fastener. Empty when nothing fails, or when no
    one change mends all of it.
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
        near = sorted(passing, key=lambda part: _distance(kind, chosen[kind], part))[:most]
        changes = [_change(axle, chosen, kind, part, before) for part in near]
        found += sorted(changes, key=_order)
    return found


def _passing(axle: Axle, chosen: dict[str, Any], kind: str, candidates: Sequence[Any]) -> list[Any]:
    """Sift the candidates of one kind on the grid; fasteners one by one."""
    parts = [part for part in candidates if part != chosen[kind]]
    if not parts:
        return []
    if kind == "fastener":
        fits = [check_fit(axle, **(chosen | {"fastener": part})).verdict != "no" for part in parts]
        return [part for part, fit in zip(parts, fits, strict=True) if fit]
    lists = {name: [chosen[name]] for name in ("wheel", "tyre", "spacer")} | {kind: parts}
    grid = filter_grid(axle, lists["wheel"], lists["tyre"], lists["spacer"], chosen["fastener"])
    return [part for part, code in zip(parts, grid.codes.ravel(), strict=True) if code < NO]


_Size = Callable[[Any], float | None]
_SIZES: dict[str, _Size] = {
    "wheel": lambda wheel: wheel.offset_mm,
    "tyre": lambda tyre: tyre.width_mm * tyre.aspect_pct / 50 + tyre.rim_diameter_in * 25.4,
    "spacer": lambda spacer: spacer.thickness_mm if spacer else 0.0,
    "fastener": lambda fastener: fastener.shank_mm if fastener else None,
}


def _distance(kind: str, before: Any, after: Any) -> float:
    old, new = _SIZES[kind](before), _SIZES[kind](after)
    return float("inf") if old is None or new is None else abs(new - old)


def _change(axle: Axle, chosen: dict[str, Any], kind: str, part: Any, before: FitReport) -> Suggestion:
    report = check_fit(axle, **(chosen | {kind: part}))
    mended = [row.id for row in before.checks if row.verdict == "no"]
    reason = f"{_name(kind, part)} instead mends {', '.join(mended)}"
    return Suggestion(kind, part, report, reason, _distance(kind, chosen[kind], part))


def _name(kind: str, part: Any) -> str:
    if part is None:
        return "no spacer" if kind == "spacer" else "the fastener this fit needs"
    if kind == "tyre":
        return f"tyre {part.designation}"
    if kind == "spacer":
        return f"a {plain(part.thickness_mm)} mm spacer"
    if kind == "fastener":
        return f"a {plain(part.shank_mm)} mm shank" if part.shank_mm is not None else "another fastener"
    return f"a wheel {part.width_in:g} x {part.diameter_in:g} offset {part.offset_mm:g}"
