"""Which jobs an open movement may be for, found by the database in a fixed number of queries."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from configurator.catalogue import workshop
from shop.jobs.models import Job
from shop.jobs.states import CLOSED
from shop.money.models import DepositRequest, Ledger, StatementEntry
from shop.money.names import payer_key, payer_keys
from shop.money.selectors import accounts

from .deciding import known_references, named_in, words_of

MOST = 4
OF_A_NAME = 12
LONG = ("job__revision__evaluation", "job__revision__selection", "job__revision__terms_text")
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
    # Asked for apart: a condition on the job's table among the others would make the database read all rows.
    numbers = {number for entry in entries for number in _numbers(entry)}
    jobs = set(Job.objects.filter(number__in=numbers).values_list("pk", flat=True))
    jobs.update(*named.values())
    # Index and limit keep each of these as quick with many thousands of requests as with twenty, and their
    # keys go into the last question as they are: joined to it, they make the database read all rows.
    likely: list[QuerySet[Any, Any]] = []
    for entry in entries:
        same_name = DepositRequest.objects.filter(payer_key__in=payer_keys(entry.other_name))
        likely.append(same_name.order_by("-pk").values("job")[:OF_A_NAME])
        owed = Ledger.objects.filter(is_open=True, outstanding_cents=int(entry.amount * 100))
        likely.append(owed.order_by("due_on", "job_id").values("job")[:MOST])
    known = [Job.objects.order_by().filter(pk__in=keys).values_list("pk") for keys in likely]
    more = {pk for (pk,) in known[0].union(*known[1:])} - jobs
    found = DepositRequest.objects.filter(job__in=jobs | more, superseded_at__isnull=True)
    rows = found.select_related("job__revision").defer(*LONG).order_by("pk")
    return [row for row in rows if row.job_id in jobs or row.job.state not in CLOSED]


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
