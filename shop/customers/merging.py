"""Two records that may be one customer: proposed, said by a person, and undone."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Any

from django.db import transaction
from django.db.models import Count
from django.utils import timezone
from django.utils.translation import gettext as _

from .models import Customer, CustomerJob, Fact, Merge, NotSame

MOST_SHARING = 6
COMPARED = (Fact.Kind.MAIL, Fact.Kind.PHONE, Fact.Kind.VIN)


class MergeError(ValueError):
    """They cannot be joined, or parted again; ``str(error)`` says why."""


@dataclass(frozen=True)
class Proposal:
    """Two records and what they share."""

    first: Customer
    second: Customer
    shared: tuple[Fact, ...]


def proposals(limit: int = 40, of: Customer | None = None) -> list[Proposal]:
    """Return pairs that share a mail address, number or VIN and that nobody has decided about."""
    facts = Fact.objects.filter(shared=True, kind__in=COMPARED, customer__merged_into=None)
    if of is not None:
        facts = facts.filter(key__in=of.facts.filter(kind__in=COMPARED).values("key"))
    keys = facts.values("kind", "key").annotate(n=Count("customer")).filter(n__gte=2, n__lte=MOST_SHARING)
    wanted = {(row["kind"], row["key"]) for row in keys.order_by("kind", "key")[: limit * 2]}
    rows = (
        facts.filter(key__in={key for _, key in wanted})
        .select_related("customer")
        .order_by("customer_id", "pk")
    )
    by_key: dict[tuple[str, str], list[Fact]] = {}
    for row in rows.order_by("customer_id", "pk"):
        if (row.kind, row.key) in wanted:
            by_key.setdefault((row.kind, row.key), []).append(row)
    pairs: dict[tuple[int, int], list[Fact]] = {}
    for sharing in by_key.values():
        for one, other in combinations(sharing, 2):
            pairs.setdefault((one.customer_id, other.customer_id), []).append(one)
    known = {row.customer_id: row.customer for sharing in by_key.values() for row in sharing}
    two = set(NotSame.objects.filter(first__in=known, second__in=known).values_list("first", "second"))
    return [
        Proposal(known[first], known[second], tuple(shared))
        for (first, second), shared in sorted(pairs.items())
        if (first, second) not in two and (of is None or of.pk in (first, second))
    ][:limit]


def _locked(*keys: int) -> dict[int, Customer]:
    rows = Customer.objects.select_for_update().filter(pk__in=keys).order_by("pk")
    return {row.pk: row for row in rows}


@transaction.atomic
def merge(*, kept_id: int, gone_id: int, by: Any) -> Merge:
    """Say that two records are one: jobs and facts go over, the emptied record stays to undo it.

    Saying it again is once. Raises ``MergeError``.
    """
    found = _locked(kept_id, gone_id)
    if len(found) < 2:
        raise MergeError(_("One of these records is gone."))
    kept, gone = found[kept_id], found[gone_id]
    if gone.merged_into_id == kept.pk:
        return Merge.objects.get(gone=gone, undone_at=None)
    if kept.merged_into_id or gone.merged_into_id:
        raise MergeError(_("One of these was joined to another record meanwhile. Look again."))
    jobs = list(CustomerJob.objects.filter(customer=gone).values_list("pk", flat=True))
    CustomerJob.objects.filter(pk__in=jobs).update(customer=kept)
    has = set(kept.facts.values_list("kind", "key"))
    facts = [row.pk for row in gone.facts.all() if (row.kind, row.key) not in has]
    Fact.objects.filter(pk__in=facts).update(customer=kept)
    gone.merged_into = kept
    gone.save(update_fields=["merged_into"])
    return Merge.objects.create(kept=kept, gone=gone, jobs=jobs, facts=facts, by=by)


@transaction.atomic
def unmerge(*, merge_id: int) -> bool:
    """Undo a merge: what went over goes back; False when it is undone. What came since stays.

    Raises ``MergeError`` when the kept record was itself joined to another since: that goes first.
    """
    row = Merge.objects.select_for_update().get(pk=merge_id)
    if row.undone_at:
        return False
    found = _locked(row.kept_id, row.gone_id)
    if found[row.kept_id].merged_into_id:
        raise MergeError(_("This record was joined to another since: undo that first."))
    CustomerJob.objects.filter(pk__in=row.jobs, customer=row.kept_id).update(customer=row.gone_id)
    Fact.objects.filter(pk__in=row.facts, customer=row.kept_id).update(customer=row.gone_id)
    Customer.objects.filter(pk=row.gone_id).update(merged_into=None)
    row.undone_at = timezone.now()
    row.save(update_fields=["undone_at"])
    return True


@transaction.atomic
def say_two(*, one_id: int, other_id: int) -> None:
    """Say that two records are two people, whatever they share."""
    first, second = sorted((one_id, other_id))
    NotSame.objects.get_or_create(first_id=first, second_id=second)
