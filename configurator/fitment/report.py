"""One fit judged: a row per check, what it needs, and what was worked out on the way."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from . import formulas_rating, formulas_space
from .arithmetic import VERDICTS, verdict_code
from .checks import RULES, Rule, missing_inputs
from .designation import Tyre
from .formulas_mounting import engaged_mm
from .needs import Need, needs_of, needs_of_rows
from .numbers import axle_numbers, fastener_numbers, spacer_numbers, tyre_numbers, wheel_numbers
from .outcome import Outcome
from .parts import Axle, Fastener, Spacer, Wheel
from .pressure import minimum_pressure_bar
from .quantities import Quantities
from .rows import Check, known
from .said import Message, Messages, message
from .sources import source_of
from .wording import Fit

__all__ = ["Check", "FitReport", "Need", "check_fit"]

# No tape measure settles these; their own words say what does.
_OWN_ADVICE = ("speedometer", "track_change", "tyre_speed", "lock_sweep", "clamp_load")
# Worst last. A no is worse than an unknown: no measurement will mend it.
_ORDER = ("note", *VERDICTS)


@dataclass(frozen=True)
class FitReport:
    """The answer for one axle. `verdict` is that of the worst row: no, unknown, measure, then fits."""

    verdict: str
    checks: tuple[Check, ...]
    needs: tuple[Need, ...]
    derived: MappingProxyType[str, float | None] = field(hash=False)

    def check(self, check_id: str) -> Check:
        """Return one row. Raises KeyError for an id that is not a check's."""
        for row in self.checks:
            if row.id == check_id:
                return row
        raise KeyError(check_id)

    @property
    def deciding(self) -> Check | None:
        """The first row with the worst verdict; None when everything fits."""
        if self.verdict == "fits":
            return None
        return next(row for row in self.checks if row.verdict == self.verdict)

    def joined_by(self, row: Check) -> "FitReport":
        """Return the report with a row of the whole vehicle joined to it, and what that row asks for."""
        verdict = worst_verdict((self.verdict, row.verdict))
        return FitReport(verdict, (*self.checks, row), (*self.needs, *needs_of_rows((row,))), self.derived)

    def as_dict(self) -> dict[str, Any]:
        """Return the answer as plain data for JSON, numbers to six decimals."""
        return {
            "verdict": self.verdict,
            "checks": [row.as_dict() for row in self.checks],
            "needs": [need.as_dict() for need in self.needs],
            "derived": {
                name: None if value is None else round(value, 6) for name, value in self.derived.items()
            },
        }


def worst_verdict(verdicts: Iterable[str]) -> str:
    """Return the worst of some verdicts; notes never block."""
    found = max(verdicts, key=_ORDER.index)
    return "fits" if found == "note" else found


def check_fit(
    axle: Axle,
    wheel: Wheel,
    tyre: Tyre,
    spacer: Spacer | None = None,
    fastener: Fastener | None = None,
) -> FitReport:
    """Judge one wheel, tyre, spacer and fastener on one axle.

    With no fastener given the checks judge the fastener that would be needed, and `needs` names it.
    """
    numbers = Quantities(
        axle_numbers(axle),
        wheel_numbers(wheel),
        tyre_numbers(tyre, axle),
        spacer_numbers(spacer),
        fastener_numbers(axle, fastener),
    )
    fit = Fit(axle, wheel, tyre, spacer, fastener, numbers)
    rows = (_row(rule, fit) for rule in RULES)
    checks = tuple(row for row in rows if row is not None)
    verdict = worst_verdict(row.verdict for row in checks)
    return FitReport(verdict, checks, needs_of(fit, checks), MappingProxyType(_derived(fit)))


def _row(rule: Rule, fit: Fit) -> Check | None:
    outcome = rule.formula(fit.numbers)
    if outcome and callable(outcome.value):
        outcome = outcome._replace(value=outcome.value())
    if outcome is None and rule.only_where:
        return None
    if outcome is None:
        nothing = Outcome(math.nan, math.nan, math.nan, math.nan)
        return _check(rule, fit, nothing, "note", message("row.not_applicable"))
    if rule.note:
        return _check(rule, fit, outcome, "note", rule.words(fit, outcome, "note"))
    verdict = VERDICTS[verdict_code(outcome.margin, outcome.tolerance)]
    if verdict == "unknown":
        return _unknown(rule, fit, outcome)
    said = rule.words(fit, outcome, verdict)
    if verdict == "measure" and rule.id not in _OWN_ADVICE:
        spare = message("row.spare", spare_mm=outcome.margin, tolerance_mm=outcome.tolerance)
        said = (*_all(said), spare)
    return _check(rule, fit, outcome, verdict, said)


def _all(said: Message | Messages) -> Messages:
    return (said,) if isinstance(said, Message) else said


def _unknown(rule: Rule, fit: Fit, outcome: Outcome) -> Check:
    missing = missing_inputs(rule, fit)
    if missing:
        said = message("row.missing", fields=missing)
    else:
        # Nothing is missing, and yet not enough known, only where a brake reaches past the drawn profile.
        missing = ("wheel.inside_profile_mm",)
        said = message("brake_clearance.beyond")
    return _check(rule, fit, outcome, "unknown", said, missing)


def _check(
    rule: Rule,
    fit: Fit,
    outcome: Outcome,
    verdict: str,
    said: Message | Messages,
    missing: tuple[str, ...] = (),
) -> Check:
    return Check(
        id=rule.id,
        verdict=verdict,
        value=known(outcome.value),
        limit=known(outcome.limit),
        margin=known(outcome.margin),
        tolerance=known(outcome.tolerance),
        unit=rule.units[outcome.unit],
        axle=fit.axle.position,
        messages=_all(said),
        source=source_of(rule.id, fit.tyre.kind),
        missing=missing,
    )


def _derived(fit: Fit) -> dict[str, float | None]:
    q = fit.numbers
    engaged = engaged_mm(q) if q.a.bolted and q.a.fastener_known else math.nan
    found = {
        "overall_diameter_mm": q.t.diameter,
        "original_overall_diameter_mm": q.a.original_diameter,
        "section_width_mm": q.section_width,
        "effective_offset_mm": q.effective_offset,
        "outer_face_mm": q.outer_face,
        "inner_face_mm": q.inner_face,
        "track_change_mm": formulas_space.track_change_mm(q),
        "circumference_change_pct": (q.circumference_ratio - 1) * 100,
        "tyre_capacity_kg": formulas_rating.tyre_capacity_kg(q),
        "engaged_mm": engaged,
        "engaged_turns": engaged / q.f.pitch,
        "minimum_pressure_bar": minimum_pressure_bar(fit.tyre, q),
    }
    return {name: known(value) for name, value in found.items()}
