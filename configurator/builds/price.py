"""The price as the customer sees it: one line a choice, shared things shared, tax kept apart."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.utils import timezone

from configurator.catalogue.models import Workshop

from . import money
from .evaluation import PartLine, Price, PriceLine, Work
from .tasks import JOB


def price(parts: Iterable[PartLine], work: Work, names: dict[str, str], workshop: Workshop) -> Price:
    """Return the price of the parts list and the work.

    A part or a step that several choices share is split between them in whole cents, so the lines
    add up to the total exactly. ``names`` gives each choice its label.
    """
    lines = list(parts)
    parts_by = _by_choice((line.for_choices, line.amount) for line in lines)
    rate = workshop.labour_rate_per_h
    labour_by = _by_choice((step.for_choices, labour([step.hands_on_h], rate)) for step in work.steps)
    choices = sorted({*parts_by, *labour_by}, key=lambda choice: (choice == JOB, list(names).index(choice)))
    rows = [
        _row(choice, names[choice], parts_by.get(choice, Decimal(0)), labour_by.get(choice, Decimal(0)))
        for choice in choices
    ]
    total = sum((row.amount for row in rows), Decimal(0))
    rate_pct = workshop.tax_rate_on(timezone.localdate())
    net, tax = money.tax_split(total, rate_pct)
    deposit, why = money.deposit(total, lines, workshop.deposit_pct)
    return Price(
        currency=workshop.currency,
        lines=tuple(rows),
        parts=sum((row.parts for row in rows), Decimal(0)),
        labour=sum((row.labour for row in rows), Decimal(0)),
        total=total,
        tax_rate_pct=rate_pct,
        tax=tax,
        net=net,
        deposit=deposit,
        deposit_why=why,
    )


def labour(hours: Iterable[float], rate_per_h: Decimal) -> Decimal:
    """Return what steps of so many hours cost, each rounded to the cent."""
    return sum((money.rounded(Decimal(repr(h)) * rate_per_h) for h in hours), Decimal(0))


def _row(choice: str, label: str, parts: Decimal, labour: Decimal) -> PriceLine:
    return PriceLine(choice=choice, label=label, parts=parts, labour=labour, amount=parts + labour)


def _by_choice(amounts: Iterable[tuple[tuple[str, ...], Decimal]]) -> dict[str, Decimal]:
    """Split each amount over the choices that share it and add up."""
    found: dict[str, Decimal] = {}
    for choices, amount in amounts:
        for choice, share in zip(choices, money.shared(amount, len(choices)), strict=True):
            found[choice] = found.get(choice, Decimal(0)) + share
    return found
