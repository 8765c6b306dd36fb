"""A day's closing list by way of payment, and the statement of one customer's account."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from shop.jobs.models import Job

from . import selectors
from .account import CALLED_OFF, ZERO, Account
from .models import DepositRequest, Payment, Refund


@dataclass(frozen=True)
class Way:
    """What came in one way on a day: rows, undone ones with their opposite, and their sum."""

    name: str
    rows: tuple[Payment, ...]

    @property
    def total(self) -> Decimal:
        """The sum, undone rows taken off."""
        return sum((row.amount for row in self.rows), ZERO)


@dataclass(frozen=True)
class Closing:
    """A day as the till and the account have it: what came in by way, what went back."""

    day: date
    ways: tuple[Way, ...]
    refunds: tuple[Refund, ...]

    @property
    def came_in(self) -> Decimal:
        """The sum of all ways."""
        return sum((way.total for way in self.ways), ZERO)

    @property
    def went_back(self) -> Decimal:
        """The sum of refunds paid out."""
        return sum((refund.amount for refund in self.refunds), ZERO)

    @property
    def before(self) -> date | None:
        """The day before, unless there is none."""
        return self.day - timedelta(days=1) if self.day > date.min else None

    @property
    def after(self) -> date | None:
        """The day after, unless it is still to come."""
        return self.day + timedelta(days=1) if self.day < timezone.localdate() else None


def closing(day: date) -> Closing:
    """Return the closing list of a day: every row that bears it, by way, each way even when empty."""
    rows = list(
        Payment.objects.filter(received_on=day)
        .select_related("job__revision", "by", "undoes", "entry")
        .order_by("pk")
    )
    ways = tuple(
        Way(str(method.label), tuple(row for row in rows if row.method == method))
        for method in Payment.Method
    )
    refunds = Refund.objects.filter(paid_on=day).select_related("job__revision").order_by("pk")
    return Closing(day, ways, tuple(refunds))


@dataclass(frozen=True)
class Line:
    """One line of a customer's account; ``balance`` is what the customer still owes after it."""

    day: date
    job: Job
    what: str
    asked: Decimal
    paid: Decimal
    balance: Decimal = ZERO


@dataclass(frozen=True)
class CustomerAccount:
    """All lines of one customer, oldest first, and where they come to; below nothing the workshop owes."""

    name: str
    email: str
    jobs: tuple[Job, ...]
    lines: tuple[Line, ...]

    @property
    def asked(self) -> Decimal:
        """The sum of what was asked for, replaced requests taken off."""
        return sum((line.asked for line in self.lines), ZERO)

    @property
    def paid(self) -> Decimal:
        """The sum of what came in, less what went back."""
        return sum((line.paid for line in self.lines), ZERO)

    @property
    def balance(self) -> Decimal:
        """What the customer still owes."""
        return self.asked - self.paid


def customer_account(email: str) -> CustomerAccount | None:
    """Return the account of the customer with this address over all jobs, or nothing without a job."""
    jobs = list(
        Job.objects.filter(revision__email__iexact=email.strip()).select_related("revision").order_by("pk")
    )
    if not jobs or not email.strip():
        return None
    told = [line for lines in (_requests(jobs), _payments(jobs), _refunds(jobs)) for line in lines]
    lines, balance = [], ZERO
    for day, job, what, asked, paid in sorted(told, key=lambda line: (line[0], line[1].pk)):
        balance += asked - paid
        lines.append(Line(day, job, what, asked, paid, balance))
    # One address may serve a family: whose jobs these are is said, so that nobody is sent another's account.
    names = ", ".join(dict.fromkeys(job.revision.name for job in reversed(jobs)))
    return CustomerAccount(names, jobs[-1].revision.email, tuple(jobs), tuple(lines))


_Told = tuple[date, Job, str, Decimal, Decimal]


def _requests(jobs: Iterable[Job]) -> Iterable[_Told]:
    """Yield each request as what it adds to the one before; then the balance, or what is owed of a job off.

    Together they come to what the ledger asks for by now. A job that is still talked about, and for which
    nothing was paid, asks for nothing yet: its request only waits.
    """
    found = selectors.accounts(job.pk for job in jobs)
    by_key = {job.pk: job for job in jobs if found[job.pk].is_asked or found[job.pk].held}
    before: dict[int, Decimal] = {}
    for request in DepositRequest.objects.filter(job__in=by_key).order_by("job", "number"):
        job = by_key[request.job_id]
        added = request.amount - before.get(job.pk, ZERO)
        what = _("Deposit asked for") if job.pk not in before else _("Deposit changed")
        before[job.pk] = request.amount
        yield timezone.localtime(request.made_at).date(), job, what, added, ZERO
    for pk, now in ((pk, found[pk]) for pk in by_key):
        more = now.asked - before.get(pk, ZERO)
        if more:
            yield now.since, by_key[pk], _what_more(now), more, ZERO


def _what_more(now: Account) -> str:
    if now.job_state in CALLED_OFF:
        return _("Job called off")
    return _("Balance of the price") if now.is_balance else _("Taken off the price")


def _payments(jobs: Iterable[Job]) -> Iterable[_Told]:
    rows = Payment.objects.filter(job__in=list(jobs)).select_related("job__revision").order_by("pk")
    for row in rows:
        what = str(row.get_method_display()) if row.amount > 0 else _("Payment undone")
        yield row.received_on, row.job, what, ZERO, row.amount


def _refunds(jobs: Iterable[Job]) -> Iterable[_Told]:
    rows = (
        Refund.objects.filter(job__in=list(jobs), withdrawn_at=None)
        .select_related("job__revision")
        .order_by("pk")
    )
    for row in rows:
        day = row.paid_on or timezone.localtime(row.decided_at).date()
        what = _("Refund paid out") if row.paid_on else _("Refund decided, not paid out yet")
        yield day, row.job, what, ZERO, -row.amount
