"""What differs between two revisions, in rows that people can read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from configurator.spec.evaluation import Evaluation, PartLine

Choices = dict[str, str]


@dataclass(frozen=True)
class Difference:
    """One thing that was ``before`` and is ``after``; an empty text means it was not there."""

    area: str
    what: str
    before: str
    after: str


def differences(before: Evaluation, after: Evaluation) -> list[Difference]:
    """Return every difference that matters to a person: choices, fit, parts, work, price."""
    return [
        *_pairs("Choices", _choices(before), _choices(after)),
        *_pairs("Fit", _verdicts(before), _verdicts(after)),
        *_pairs("Parts", _parts(before.parts), _parts(after.parts)),
        *_pairs("Work", _work(before), _work(after)),
        *_pairs("Price", _price(before), _price(after)),
    ]


def _pairs(area: str, before: Choices, after: Choices) -> Iterator[Difference]:
    for what in dict.fromkeys([*before, *after]):
        old, new = before.get(what, ""), after.get(what, "")
        if old != new:
            yield Difference(area, what, old, new)


def _choices(found: Evaluation) -> Choices:
    selection, names = found.selection, found.names

    def named(code: str | None) -> str:
        return names.get(code, code) if code else ""

    rows: Choices = {}
    for position in ("front", "rear"):
        for part in ("wheel", "tyre", "spacer"):
            code = getattr(selection.axle(position), part)
            token = f"{position}-{part}:{code}"
            rows[f"{position.capitalize()} {part}"] = names.get(token, named(code)) if code else ""
    rows["Accent colour"] = found.accent.name if found.accent else named(selection.accent)
    rows["Body colour"] = found.body.name if found.body else named(selection.body_finish)
    for option in selection.options:
        finish = selection.finishes.get(option)
        rows[named(option)] = f"yes, {named(finish)}" if finish else "yes"
    return {what: value for what, value in rows.items() if value}


def _verdicts(found: Evaluation) -> Choices:
    rows = {f"{fit.position.capitalize()} axle": fit.verdict for fit in found.fits.values()}
    for fit in found.fits.values():
        for row in fit.checks:
            if row.verdict in ("no", "measure", "unknown"):
                name = f"{fit.position.capitalize()} {row.id.replace('_', ' ')}"
                margin = "" if row.margin is None else f", margin {row.margin:+.1f} {row.unit}"
                rows[name] = row.verdict + margin
    return rows


def _parts(lines: Iterable[PartLine]) -> Choices:
    rows: Choices = {}
    for line in lines:
        amount = f"{line.quantity.normalize():f} {line.unit}"
        what = f"{line.name}, {line.where}" if line.where else line.name
        rows[what] = f"{rows[what]} + {amount}" if what in rows else amount
    return rows


def _work(found: Evaluation) -> Choices:
    if found.work is None:
        return {}
    rows = {step.name: f"{step.hands_on_h:g} h" for step in found.work.steps}
    return rows | {
        "Hands-on in all": f"{found.work.hands_on_h:g} h",
        "Working days in the workshop": str(found.work.bay_days),
    }


def _price(found: Evaluation) -> Choices:
    if found.price is None:
        return {}
    unit = found.price.currency
    rows = {line.label: f"{line.amount} {unit}" for line in found.price.lines}
    return rows | {"Total": f"{found.price.total} {unit}", "Deposit": f"{found.price.deposit} {unit}"}
