"""Which jobs an open movement may be for, found by the database in a fixed number of queries."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q
from django.utils.translation import gettext as _

from configurator.catalogue import workshop
from shop.jobs.models import Job
from shop.jobs.states import CLOSED, State
from shop.money.models import DepositRequest, StatementEntry
from shop.money.names import payer_key, payer_keys
from shop.money.selectors import accounts

from .deciding import known_references, named_in, words_of

MOST = 4
_NUMBER = re.compile(r"\b([A-Z]{1,3})[- ]?([0-9]{4})[- ]?([0-9]{4,6})\b")


@dataclass(frozen=True)
class Suggestion:
    """A job that an open movement may be for, what speaks for it, and what is still to come for it."""

    job: Job
    reasons: tuple[str, ...]
    outstanding: Decimal


def suggestions(entries: Sequence[StatementEntry]) -> dict[int, list[Suggestion]]:
    """Return the likeliest jobs of each movement that came in, best first: number, name, amount.

    Money in another currency than the workshop's is offered to no job.
    """
    own = workshop.currency()
    came_in = [entry for entry in entries if entry.amount > 0 and entry.currency == own]
    if not came_in:
        return {}
    known = known_references(words_of(entry) for entry in came_in)
    named = {
        entry.pk: [job for jobs in named_in(words_of(entry), known) for job in jobs] for entry in came_in
    }
    requests = _candidates(came_in, named)
    now = accounts(request.job_id for request in requests)
    return {
        entry.pk: _best(
            entry, [(request, now[request.job_id].outstanding) for request in requests], named[entry.pk]
        )
        for entry in came_in
    }


def _candidates(entries: Sequence[StatementEntry], named: dict[int, list[int]]) -> list[DepositRequest]:
    """Return the requests in force that anything speaks for, a bounded number for each movement."""
    waiting = DepositRequest.objects.filter(superseded_at__isnull=True).exclude(job__state__in=CLOSED)
    # Asked for apart: a condition on the job's table among the others would make the database read all rows.
    numbers = {number for entry in entries for number in _numbers(entry)}
    jobs = set(Job.objects.filter(number__in=numbers).values_list("pk", flat=True))
    wanted = Q(job__in=jobs.union(*named.values()))
    for entry in entries:
        same_name = waiting.filter(payer_key__in=payer_keys(entry.other_name))
        # Index and limit keep this as quick with many thousands of requests as with twenty.
        wanted |= Q(pk__in=same_name.order_by("-pk").values("pk")[:MOST])
        same_amount = waiting.filter(amount=entry.amount, job__state=State.DEPOSIT_DUE)
        wanted |= Q(pk__in=same_amount.order_by("due_on").values("pk")[:MOST])
    found = DepositRequest.objects.filter(wanted, superseded_at__isnull=True)
    return list(found.select_related("job__revision").order_by("pk"))


def _numbers(entry: StatementEntry) -> list[str]:
    """Return what looks like a job's number in the movement, as jobs write it."""
    found = _NUMBER.finditer(f"{entry.documents} {entry.reference} {entry.text}".upper())
    return ["-".join(match.groups()) for match in found]


def _best(
    entry: StatementEntry, requests: list[tuple[DepositRequest, Decimal]], named: list[int]
) -> list[Suggestion]:
    told = [
        Suggestion(request.job, reasons, outstanding)
        for request, outstanding in requests
        if (reasons := _reasons(entry, request, outstanding, named))
    ]
    return sorted(told, key=lambda one: (-len(one.reasons), one.job.pk))[:MOST]


def _reasons(
    entry: StatementEntry, request: DepositRequest, outstanding: Decimal, named: list[int]
) -> tuple[str, ...]:
    number = request.job.number in _numbers(entry)
    if not outstanding and not number and request.job_id not in named:
        return ()
    speaks = (
        (request.job_id in named, _("names its reference, or nearly")),
        (number, _("names the job's number")),
        (payer_key(request.job.revision.name) in payer_keys(entry.other_name), _("the customer's name")),
        (entry.amount in (request.amount, outstanding), _("the amount asked for")),
    )
    return tuple(why for holds, why in speaks if holds)
