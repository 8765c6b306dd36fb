"""Free lines beside a build: work and prices that a person wrote, folded into the evaluation.

A job that was entered by hand, or that grew in the workshop, is an evaluation like any other: its lines are
price lines, its hours are steps of work. Folding in and taking out again are each other's inverse, so a
build can be changed under its lines and lines under their build. Money is Decimal, tax included.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils import timezone

from configurator.catalogue.models import Workshop
from configurator.words import Said

from . import money
from .evaluation import Evaluation, Price, PriceLine, Work, WorkStep
from .free_lines import PREFIX, FreeLine, joined
from .selection import Selection
from .sentences import say
from .work import measured

if TYPE_CHECKING:
    pass

NOT_LISTED = "not-listed"
"""Stands for the generation of a vehicle that is not in the catalogue."""


def nothing_chosen(generation: str, vehicle: str, version: int) -> Evaluation:
    """Return the empty evaluation of a vehicle that only has a name."""
    return Evaluation(
        selection=Selection(generation=generation),
        catalogue_version=version,
        names={generation: vehicle} if vehicle else {},
        summary=(vehicle,) if vehicle else (),
    )


def with_lines(
    build: Evaluation,
    lines: Iterable[FreeLine],
    workshop: Workshop,
    *,
    frame: tuple[WorkStep, ...] = (),
    deposit: Decimal | None = None,
) -> Evaluation:
    """Return the build with these lines and no others.

    ``frame`` is the work that every job has, taken where the build brings none. ``deposit`` stands in place
    of the workshop's policy, never above the total.
    """
    bare, written = without_lines(build), list(lines)
    steps = joined(bare, written, frame)
    work = measured(steps, float(workshop.hours_per_day)) if steps else None
    names = {line.key: line.label for line in written}
    return bare.model_copy(
        update={
            "work": work,
            "price": _priced(bare, written, workshop, deposit),
            "names": {**bare.names, **names},
            "summary": (*bare.summary, *names.values()),
            "cautions": _with(bare.cautions, written, owner=True),
            "bench_cautions": _with(bare.bench_cautions, written, owner=False),
        }
    )


def without_lines(found: Evaluation) -> Evaluation:
    """Return the build alone: what stays when every free line is taken out."""
    price = found.price
    own = tuple(line for line in price.lines if not line.choice.startswith(PREFIX)) if price else ()
    labels = [str(text) for key, text in found.names.items() if key.startswith(PREFIX)]
    kept = (
        [step for step in found.work.steps if not step.key.startswith(PREFIX)] if found.work and own else []
    )
    return found.model_copy(
        update={
            "work": _bare_work(found.work) if own else None,
            "price": price.model_copy(update=_sums(own, price)) if own and price else None,
            "names": {key: text for key, text in found.names.items() if not key.startswith(PREFIX)},
            "summary": found.summary[: len(found.summary) - len(labels)] if labels else found.summary,
            "cautions": _still_due(found.cautions, kept),
            "bench_cautions": _still_due(found.bench_cautions, kept),
        }
    )


PAINTING = ("prime", "colour", "lacquer")
CAUTIONS = {
    "owner_wheels": lambda step: step.torque_nm is not None,
    "owner_paint": lambda step: step.stage in PAINTING,
    "bench_ignition": lambda step: step.stage in PAINTING,
    "bench_diisocyanates": lambda step: step.stage in PAINTING,
}
"""The usual cautions that a line can bring, with the step that a build's own would come from."""


def _with(known: tuple[str, ...], lines: list[FreeLine], *, owner: bool) -> tuple[str, ...]:
    names = ["owner_wheels"] if owner and any(line.wheels for line in lines) else []
    if any(line.stage in PAINTING and line.hands_on_h for line in lines):
        names += ["owner_paint"] if owner else ["bench_ignition", "bench_diisocyanates"]
    return tuple(dict.fromkeys((*known, *map(say, names))))


def _still_due(known: tuple[str, ...], steps: list[WorkStep]) -> tuple[str, ...]:
    """Take out the cautions that only lines had brought."""
    return tuple(
        text
        for text in known
        if not (isinstance(text, Said) and text.id in CAUTIONS)
        or any(CAUTIONS[text.id](step) for step in steps)
    )


def _bare_work(work: Work | None) -> Work | None:
    """Take the lines' steps out; the lengths are worked out anew by whoever folds lines in again."""
    if work is None:
        return None
    kept = [step for step in work.steps if not step.key.startswith(PREFIX)]
    keys = {step.key for step in kept}
    steps = tuple(
        step.model_copy(update={"after": tuple(key for key in step.after if key in keys)}) for step in kept
    )
    return work.model_copy(update={"steps": steps})


def _sums(lines: tuple[PriceLine, ...], price: Price) -> dict[str, object]:
    total = sum((line.amount for line in lines), Decimal(0))
    net, tax = money.tax_split(total, price.tax_rate_pct)
    parts = sum((line.parts for line in lines), Decimal(0))
    return {
        "lines": lines,
        "total": total,
        "net": net,
        "tax": tax,
        "parts": parts,
        "labour": total - parts,
        "deposit": min(price.deposit, total),
    }


def _priced(
    bare: Evaluation, lines: list[FreeLine], workshop: Workshop, deposit: Decimal | None
) -> Price | None:
    own = bare.price.lines if bare.price else ()
    if not own and not lines:
        return None
    free = tuple(
        PriceLine(choice=line.key, label=line.label, parts=Decimal(0), labour=line.amount, amount=line.amount)
        for line in lines
    )
    rate = bare.price.tax_rate_pct if bare.price else workshop.tax_rate_on(timezone.localdate())
    currency = bare.price.currency if bare.price else workshop.currency
    total = sum((line.amount for line in (*own, *free)), Decimal(0))
    asked, why = money.deposit(total, bare.parts, workshop.deposit_pct)
    if deposit is not None:
        asked, why = min(deposit, total), say("deposit_as_agreed" if deposit else "nothing_in_advance")
    empty = Price(
        currency=currency, lines=(), parts=Decimal(0), labour=Decimal(0), total=total, tax_rate_pct=rate,
        tax=Decimal(0), net=Decimal(0), deposit=asked, deposit_why=why,
    )  # fmt: skip
    return empty.model_copy(update=_sums((*own, *free), empty))
