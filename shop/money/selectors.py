"""What the manager's money pages read: every list in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, QuerySet
from django.utils import timezone

from shop.jobs.models import Job
from shop.jobs.states import CLOSED, ORDER, State

from .ledger import ZERO, Account
from .models import DepositRequest, Payment, Refund, StatementEntry, StatementFile

SHOWN = ("open", "overdue", "part paid", "overpaid", "paid")


@dataclass(frozen=True)
class DepositRow:
    """A job and where its deposit stands."""

    job: Job
    account: Account

    @property
    def is_asked(self) -> bool:
        """Whether the customer has been asked to pay: from deposit due on."""
        return self.job.state in ORDER[ORDER.index(State.DEPOSIT_DUE) :]

    @property
    def tone(self) -> str:
        """The colour class of the account's state."""
        tones = {"paid": "is-ok", "overdue": "is-stop", "part paid": "is-warn", "overpaid": "is-warn"}
        return tones.get(self.account.state, "is-info")


def accounts(jobs: Iterable[int]) -> dict[int, Account]:
    """Return where each job's deposit stands, in three queries for all of them."""
    ids = list(jobs)
    requests = {
        request.job_id: request
        for request in DepositRequest.objects.filter(job__in=ids, superseded_at__isnull=True)
    }
    paid, refunded = _sums(Payment, ids), _sums(Refund, ids)
    today = timezone.localdate()
    return {pk: Account(requests.get(pk), paid[pk], refunded[pk], today) for pk in ids}


def _sums(model: type[Payment] | type[Refund], jobs: list[int]) -> dict[int, Decimal]:
    # Summed here and not by the database: SQLite adds decimals as binary fractions.
    found: dict[int, Decimal] = defaultdict(lambda: ZERO)
    for job, amount in model._default_manager.filter(job__in=jobs).values_list("job", "amount"):
        found[job] += amount
    return found


def deposit_rows() -> list[DepositRow]:
    """Return the jobs under way whose deposit matters now, and closed ones that still hold money."""
    jobs = Job.objects.select_related("revision", "spec").exclude(state=State.HANDED_OVER)
    found = accounts(job.pk for job in jobs)
    rows = [DepositRow(job, found[job.pk]) for job in jobs]
    kept = [row for row in rows if _matters(row)]
    return sorted(kept, key=lambda row: (row.account.state != "overdue", row.job.pk))


def _matters(row: DepositRow) -> bool:
    if row.job.state in CLOSED:
        return row.account.held > 0
    return row.is_asked or row.account.held > 0


@dataclass(frozen=True)
class Totals:
    """The sums above the list."""

    outstanding: Decimal
    overdue: Decimal
    held: Decimal
    to_refund: Decimal


def totals(rows: list[DepositRow]) -> Totals:
    """Return what is still to come, what is late, what is held, and what has to go out."""
    asked = [row for row in rows if row.is_asked and row.job.state not in CLOSED]
    waiting = Refund.objects.filter(paid_on__isnull=True).values_list("amount", flat=True)
    return Totals(
        sum((row.account.outstanding for row in asked), ZERO),
        sum((row.account.outstanding for row in asked if row.account.state == "overdue"), ZERO),
        sum((row.account.held for row in rows), ZERO),
        sum(waiting, ZERO),
    )


WAITING = (StatementEntry.State.OPEN, StatementEntry.State.DOUBT)


def waiting_entries() -> QuerySet[StatementEntry]:
    """Return the movements that wait for a person, oldest first."""
    entries = StatementEntry.objects.filter(state__in=WAITING).select_related("file", "like__file")
    return entries.order_by("booked_on", "pk")


def open_count() -> int:
    """Return how many movements wait for a person."""
    return StatementEntry.objects.filter(state__in=WAITING).count()


def entry_counts(files: Iterable[StatementFile]) -> dict[int, dict[str, int]]:
    """Return how many movements of each file are in each state, by the state's lower-case name."""
    found = {file.pk: {state.name.lower(): 0 for state in StatementEntry.State} for file in files}
    rows = StatementEntry.objects.filter(file__in=found).values_list("file", "state").annotate(n=Count("pk"))
    for file_id, state, count in rows.order_by("file"):
        found[file_id][StatementEntry.State(state).name.lower()] = count
    return found
