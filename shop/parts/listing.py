"""A job's parts list, copied from the evaluation that was agreed."""

from __future__ import annotations

import hashlib
from decimal import Decimal
from typing import Any

from django.db import transaction

from configurator.builds.evaluation import Evaluation, PartLine
from configurator.builds.money import rounded
from shop.jobs.models import Job

from .models import JobPart, OrderedFor, Reservation
from .models_replacing import Replacement
from .quantities import NOTHING, sku_of
from .replacing import apply


@transaction.atomic
def make_parts_list(*, job: Job, evaluation: Evaluation) -> list[JobPart]:
    """Write the evaluation's parts as the job's list and return the lines in force.

    Safe to call again: the same evaluation changes nothing. With an amended one, lines that stay keep
    their reservations and orders, changed ones take the new quantity, and lines no longer wanted are
    marked as dropped and give their reserved stock free.
    """
    had = {part.line_key: part for part in job.parts.select_for_update()}
    replaced = _replaced(job) if had else {}
    kept: list[JobPart] = []
    for position, (key, line) in enumerate(_keyed(evaluation.parts), start=1):
        part = had.pop(key, None) or JobPart(job=job, line_key=key)
        for name, value in (*_facts(line).items(), ("position", position), ("dropped", False)):
            setattr(part, name, value)
        if made := replaced.get(part.pk):
            apply(made, part)
        if part.pk:
            part.save()
        kept.append(part)
    held_for = [part for part in kept if part.pk]
    # A list of twenty lines is written at once: whoever sends a build waits for it.
    JobPart.objects.bulk_create(part for part in kept if part.pk is None)
    for part in had.values():
        _drop(part)
    if held_for:
        _release_surplus(held_for)
    return kept


def _replaced(job: Job) -> dict[int, Replacement]:
    """Return what stands in for a part, by the part's row."""
    through = Replacement.parts.through.objects.filter(jobpart__job=job).order_by("replacement")
    return {row.jobpart_id: row.replacement for row in through.select_related("replacement")}


def bought_in_vain(*, job: Job, evaluation: Evaluation) -> list[tuple[str, Decimal]]:
    """Return what was bought at the customer's cost, cannot go back and is not in the other build.

    Each as label and price.
    """
    wanted = {key: line.quantity for key, line in _keyed(evaluation.parts)}
    found = []
    for part in job.parts.filter(returnable=False, at_cost_of="customer").prefetch_related("orders__line"):
        bought = max(part.issued, sum((_binding(row) for row in part.orders.all()), NOTHING))
        over = min(bought, part.quantity) - wanted.get(part.line_key, NOTHING)
        if over > 0 and not part.dropped:
            found.append((f"{over.normalize():f} {part.unit} {part.name}", rounded(over * part.unit_price)))
    return found


def _binding(row: OrderedFor) -> Decimal:
    """Return how much of an order for a line must be paid: of one that ended, what came."""
    return min(row.quantity, row.line.binding)


def _keyed(lines: tuple[PartLine, ...]) -> list[tuple[str, PartLine]]:
    """Give each line a key that the same line of another revision has as well."""
    seen: dict[str, int] = {}
    keyed = []
    for line in lines:
        colour = line.facts.finish
        said = "\n".join((line.item, line.where, line.kind, line.at_cost_of, colour))
        seen[said] = seen.get(said, 0) + 1
        keyed.append((hashlib.sha256(f"{said}\n{seen[said]}".encode()).hexdigest(), line))
    return keyed


def _facts(line: PartLine) -> dict[str, Any]:
    return {
        **{name: getattr(line, name) for name in type(line).model_fields},
        "for_choices": list(line.for_choices),
        "for_names": list(line.for_names),
        "facts": line.facts.kept(),
        "sku": sku_of(line.item, line.kind, line.facts.finish),
    }


def _drop(part: JobPart) -> None:
    part.dropped = True
    part.save(update_fields=["dropped"])
    Reservation.objects.filter(part=part).delete()


def _release_surplus(parts: list[JobPart]) -> None:
    """Reserve no more for a line than it still wants."""
    for held in Reservation.objects.filter(part__in=parts).select_related("part"):
        wanted = held.part.quantity - held.part.issued
        if wanted <= 0:
            held.delete()
        elif held.quantity > wanted:
            held.quantity = wanted
            held.save(update_fields=["quantity"])
