"""What the manager's money pages read: every list in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Count, Q, QuerySet, Sum
from django.utils import timezone

from shop.jobs.models import Job

from .account import ZERO, Account, price_of
from .amounts import amount_of
from .models import (
    DepositRequest,
    Ledger,
    Payment,
    Reduction,
    Refund,
    Settlement,
    StatementEntry,
    StatementFile,
)

PAGE = 20
SHOWN = ("overdue", "part paid", "open", "overpaid", "paid")
TONES = {"paid": "is-ok", "overdue": "is-stop", "part paid": "is-warn", "overpaid": "is-warn"}


def tone(word: str) -> str:
    """Return the colour class of an account's state."""
    return TONES.get(word, "is-info")


def accounts(jobs: Iterable[int]) -> dict[int, Account]:
    """Return where each job's money stands, in a fixed number of queries for all of them."""
    ids = list(jobs)
    known = {job.pk: job for job in Job.objects.filter(pk__in=ids)}
    requests = {
        request.job_id: request
        for request in DepositRequest.objects.filter(job__in=ids, superseded_at__isnull=True)
    }
    paid = _sums(Payment.objects.filter(job__in=ids))
    refunded = _sums(Refund.objects.filter(job__in=ids, withdrawn_at=None))
    reduced = _sums(Reduction.objects.filter(job__in=ids))
    owed = dict(Settlement.objects.filter(job__in=ids).order_by("pk").values_list("job", "owed"))
    today = timezone.localdate()
    return {
        pk: Account(
            request=requests.get(pk),
            job_state=known[pk].state,
            price=price_of(requests.get(pk), reduced[pk]),
            owed=owed.get(pk, ZERO),
            paid=paid[pk],
            refunded=refunded[pk],
            since=timezone.localdate(known[pk].state_since),
            today=today,
        )
        for pk in ids
    }


def _sums(rows: QuerySet[Any]) -> dict[int, Decimal]:
    # Summed here and not by the database: SQLite adds decimals as binary fractions.
    found: dict[int, Decimal] = defaultdict(lambda: ZERO)
    for job, amount in rows.values_list("job", "amount"):
        found[job] += amount
    return found


def _state(word: str, today: date) -> Q:
    """Return which ledgers an account's word fits; the same words as ``Account.state``."""
    late = Q(late_from__lte=today)
    to_come = Q(outstanding_cents__gt=0)
    return {
        "overdue": to_come & late,
        "part paid": to_come & ~late & Q(held_cents__gt=0),
        "open": to_come & ~late & Q(held_cents__lte=0),
        "overpaid": Q(outstanding_cents=0, over_cents__gt=0),
        "paid": Q(outstanding_cents=0, over_cents=0),
    }[word]


def ledgers(word: str = "") -> QuerySet[Ledger]:
    """Return the ledgers that someone should see, longest due first; ``word`` picks one state of them."""
    found = Ledger.objects.filter(is_open=True).order_by("due_on", "job_id")
    if word in SHOWN:
        found = found.filter(_state(word, timezone.localdate()))
    return found.select_related("job__revision")


@dataclass(frozen=True)
class Row:
    """One job in the list of money."""

    ledger: Ledger
    reference: str
    word: str

    @property
    def tone(self) -> str:
        """The colour class of its state."""
        return tone(self.word)


def rows(page: Iterable[Ledger]) -> list[Row]:
    """Return a page of ledgers with their references and words."""
    found = list(page)
    ids = [ledger.job_id for ledger in found]
    requests = DepositRequest.objects.filter(job__in=ids, superseded_at=None).values_list("job", "reference")
    references = dict(requests)
    today = timezone.localdate()
    return [Row(ledger, references.get(ledger.job_id, ""), word_of(ledger, today)) for ledger in found]


def word_of(ledger: Ledger, today: date) -> str:
    """Return the word of a kept ledger; the same as ``Account.state`` gives."""
    if not ledger.outstanding_cents:
        return "overpaid" if ledger.over_cents else "paid"
    if ledger.late_from <= today:
        return "overdue"
    return "part paid" if ledger.held_cents > 0 else "open"


@dataclass(frozen=True)
class Totals:
    """The sums above the list, and how many ledgers are in each state."""

    outstanding: Decimal
    overdue: Decimal
    held: Decimal
    to_refund: Decimal
    counts: tuple[tuple[str, int], ...]

    @property
    def count(self) -> int:
        """How many there are in all."""
        return sum(n for _word, n in self.counts)


def totals() -> Totals:
    """Return what is still to come, what is late, what is held, and what has to go out, in one query.

    The sums are of whole cents, so every database adds them exactly.
    """
    today = timezone.localdate()
    asked = Q(is_asked=True)
    words = {word.replace(" ", "_"): Count("pk", filter=_state(word, today)) for word in SHOWN}
    found = Ledger.objects.filter(is_open=True).aggregate(
        outstanding=Sum("outstanding_cents", filter=asked),
        late=Sum("outstanding_cents", filter=asked & Q(late_from__lte=today)),
        held=Sum("held_cents"),
        **words,
    )
    waiting = Ledger.objects.filter(to_pay_out_cents__gt=0).aggregate(cents=Sum("to_pay_out_cents"))
    return Totals(
        amount_of(found["outstanding"]),
        amount_of(found["late"]),
        amount_of(found["held"]),
        amount_of(waiting["cents"]),
        tuple((word, found[word.replace(" ", "_")]) for word in SHOWN),
    )


def waiting_entries() -> QuerySet[StatementEntry]:
    """Return the movements that wait for a person, oldest first."""
    entries = StatementEntry.objects.filter(waits_from__isnull=False).select_related("file", "like__file")
    return entries.order_by("waits_from", "pk")


def open_count() -> int:
    """Return how many movements wait for a person."""
    return StatementEntry.objects.filter(waits_from__isnull=False).count()


def entry_counts(files: Iterable[StatementFile]) -> dict[int, dict[str, int]]:
    """Return how many movements of each file are in each state, by the state's lower-case name."""
    found = {file.pk: {state.name.lower(): 0 for state in StatementEntry.State} for file in files}
    rows = StatementEntry.objects.filter(file__in=found).values_list("file", "state").annotate(n=Count("pk"))
    for file_id, state, count in rows.order_by("file"):
        found[file_id][StatementEntry.State(state).name.lower()] = count
    return found


def to_invoice() -> QuerySet[Ledger]:
    """Return the ledgers of vehicles that were handed over and have no invoice, oldest job first."""
    return Ledger.objects.filter(is_to_invoice=True).select_related("job__revision").order_by("job_id")
