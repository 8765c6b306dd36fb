"""What differs between two revisions, in rows that people can read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import takewhile

from configurator.builds.evaluation import Evaluation, PartLine

Choices = dict[str, str]
YES = "yes"


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
        *_options(before, after),
        *_pairs("Fit", _verdicts(before), _verdicts(after)),
        *_pairs("Parts", _parts(before.parts), _parts(after.parts)),
        *_pairs("Work", _work(before), _work(after)),
        *_prices(before, after),
        *_pairs("Price", _sums(before), _sums(after)),
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
    return {what: value for what, value in rows.items() if value}


def _options(before: Evaluation, after: Evaluation) -> Iterator[Difference]:
    """Options by their code: one that is named anew, because its colour changed, is one row."""
    for code in dict.fromkeys([*before.selection.options, *after.selection.options]):
        old, new = _option(before, code), _option(after, code)
        if old and new and old != new:
            yield Difference("Choices", _shared_start(old, new), old, new)
        elif old != new:
            yield Difference("Choices", old or new, YES if old else "", YES if new else "")


def _option(found: Evaluation, code: str) -> str:
    return found.names.get(code, code) if code in found.selection.options else ""


def _shared_start(old: str, new: str) -> str:
    """Return the words that both names begin with, without the "in" that leads to a colour."""
    pairs = takewhile(lambda pair: pair[0] == pair[1], zip(old.split(), new.split(), strict=False))
    return " ".join(word for word, _ in pairs).removesuffix(" in") or old


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


def _prices(before: Evaluation, after: Evaluation) -> Iterator[Difference]:
    """Price lines by the choice they are for, so that a new name at the same price is no difference."""
    old, new = _lines(before), _lines(after)
    for choice in dict.fromkeys([*old, *new]):
        (name, was), (name_now, now) = old.get(choice, ("", "")), new.get(choice, ("", ""))
        if was != now:
            yield Difference("Price", name_now or name, was, now)


def _lines(found: Evaluation) -> dict[str, tuple[str, str]]:
    price = found.price
    return {row.choice: (row.label, f"{row.amount} {price.currency}") for row in price.lines} if price else {}


def _sums(found: Evaluation) -> Choices:
    price = found.price
    if price is None:
        return {}
    return {"Total": f"{price.total} {price.currency}", "Deposit": f"{price.deposit} {price.currency}"}
