"""What differs between two evaluations, as values: the one comparison that pages, mails and papers word.

Works from the evaluations alone, so revisions that were frozen long ago compare without the live catalogue.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from configurator.catalogue.literals import PART_KINDS
from configurator.words import Said

from .evaluation import ColourChoice, Evaluation, PartLine
from .selection import POSITIONS

Value = str | Decimal | int | float | tuple[str, float | None, str] | tuple[Decimal, str] | None
"""A check is (verdict, margin, unit of the margin), an amount of a part (quantity, unit)."""
BODY, ACCENT, OPTION, FINISH = "body", "accent", "option", "finish"
TOTAL, DEPOSIT, DAYS, HANDS_ON_H, VERDICT = "total", "deposit", "days", "hands_on_h", "verdict"
FIT, HEADLINE, CHECK, PART, STEP_H, LINE = "fit", "headline", "check", "part", "step_h", "line"
CHOICES = ("vehicle", BODY, ACCENT, *PART_KINDS, OPTION)
BOTH = "both"


@dataclass(frozen=True)
class Difference:
    """One thing that was ``before`` and is ``after``; ``None`` means that it was not there.

    ``what`` is one of the words above or a kind of part, ``place`` front, rear, both or nothing, ``subject``
    the name or id of the option, part, step, check or price line that the row is about.
    """

    what: str
    before: Value
    after: Value
    place: str = ""
    subject: str = ""


Key = tuple[str, str, str]
Facts = dict[Key, Value]


def compare(before: Evaluation, after: Evaluation) -> list[Difference]:
    """Return everything that differs: choices in the order of the page, then fit, parts, work and price."""
    old, new = dict(_facts(before)), dict(_facts(after))
    found = [
        Difference(what, old.get((what, place, subject)), new.get((what, place, subject)), place, subject)
        for what, place, subject in dict.fromkeys([*old, *new])
        if old.get((what, place, subject)) != new.get((what, place, subject))
    ]
    return _joined(found)


def choices(differences: Iterable[Difference]) -> list[Difference]:
    """Return those of the differences that someone chose."""
    return [row for row in differences if row.what in CHOICES]


def _facts(found: Evaluation) -> Iterator[tuple[Key, Value]]:
    yield from _choices(found)
    yield (VERDICT, "", ""), found.verdict
    for fit in found.fits.values():
        yield (FIT, fit.position, ""), fit.verdict
        yield (HEADLINE, fit.position, ""), fit.headline
        for row in fit.checks:
            if row.verdict in ("no", "measure", "unknown"):
                yield (CHECK, fit.position, row.id), (row.verdict, row.margin, row.unit)
    yield from _parts(found.parts).items()
    if found.work is not None:
        for step in found.work.steps:
            yield (STEP_H, step.axle, step.name), step.hands_on_h
        yield (HANDS_ON_H, "", ""), found.work.hands_on_h
        yield (DAYS, "", ""), found.work.bay_days
    if found.price is not None:
        for priced in found.price.lines:
            yield (LINE, "", priced.choice), priced.amount
        yield (TOTAL, "", ""), found.price.total
        yield (DEPOSIT, "", ""), found.price.deposit


def _parts(lines: Iterable[PartLine]) -> Facts:
    """Add up what is listed more than once, such as one paint in two coats."""
    found: dict[Key, tuple[Decimal, str]] = {}
    for line in lines:
        key = (PART, line.where, line.name)
        before = found.get(key, (Decimal(0), line.unit))
        found[key] = (before[0] + line.quantity, line.unit)
    return dict(found)


def _choices(found: Evaluation) -> Iterator[tuple[Key, Value]]:
    selection = found.selection
    yield (
        ("vehicle", "", ""),
        _vehicle(found),
    )
    yield (BODY, "", ""), _colour(found.body, selection.body_finish)
    yield (ACCENT, "", ""), _colour(found.accent, selection.accent)
    for kind in PART_KINDS:
        for position in POSITIONS:
            yield (kind, position, ""), part_name(found, position, kind)
    for code in selection.options:
        yield (OPTION, "", code), found.names.get(code, code)


def _vehicle(found: Evaluation) -> str:
    """Return the vehicle's name, which opens the summary with the colour behind it."""
    if not found.summary:
        return found.selection.generation
    vehicle = found.summary[0]
    if isinstance(vehicle, Said) and vehicle.id == "vehicle_in_colour":
        return str(vehicle.figures["vehicle"])
    return vehicle.removesuffix(f" in {found.body.name}") if found.body else vehicle


def _colour(colour: ColourChoice | None, code: str | None) -> str | None:
    return colour.name if colour else code


def part_name(found: Evaluation, position: str, kind: str) -> str | None:
    """Return the name of the part chosen for an axle, without the axle; ``None`` keeps what was there."""
    code = getattr(found.selection.axle(position), kind)
    if code is None:
        return None
    name = found.names.get(f"{position}-{kind}:{code}", code)
    if isinstance(name, Said) and name.id == "part_at":
        return str(name.figures["part"])
    return name.removesuffix(f", {position}")


def _joined(rows: list[Difference]) -> list[Difference]:
    """Say once what differs alike at both axles."""
    done: list[Difference] = []
    for row in rows:
        twin = Difference(row.what, row.before, row.after, "front", row.subject)
        if row.what in PART_KINDS and row.place == "rear" and twin in done:
            done[done.index(twin)] = Difference(row.what, row.before, row.after, BOTH, row.subject)
        else:
            done.append(row)
    return done
