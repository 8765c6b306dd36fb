"""What each member of staff should look at, the most urgent first.

The database brings the longest waiting of each kind by an index; ``_urgency`` is the one rule that sorts
them. Whatever the number of jobs, a page is the same few queries, and nobody is shown more than ``MOST``: who
has a hundred things to do looks at the list of jobs for the rest.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet, Value
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from .access import visible_states
from .models import Job
from .roles import roles_of
from .said import hold_in_short
from .selectors import listed
from .signals import Notice, jobs_asking, jobs_to_settle, notices_of, queries_of
from .states import BUYER, CLOSED, CUSTOMER, MANAGER, REVIEWER, TECHNICIAN, State

LONG = timedelta(days=2)
PAGE, MOST, MOST_ASKING = 12, 99, 500
ELSEWHERE = 9
FACTS = ("pk", "state_since", "state", "held", "reviewer", "last_who")
ANSWERERS = frozenset({REVIEWER, MANAGER})

# State: (role, urgency, what to do). Lower urgency figures come first.
NEEDS: dict[str, tuple[str, int, str | Promise]] = {
    State.READY: (REVIEWER, 1, _("Hand the vehicle over")),
    State.BOOKED: (TECHNICIAN, 2, _("Bring the vehicle in")),
    State.IN_THE_BAY: (TECHNICIAN, 1, _("Work on the checklist")),
    State.SENT: (REVIEWER, 2, _("Review the new spec")),
    State.IN_REVIEW: (REVIEWER, 3, _("Finish the review")),
    State.PARTS_IN: (REVIEWER, 4, _("Plan and book the work")),
    State.DEPOSIT_IN: (BUYER, 2, _("Order the parts")),
}
WAITS = {
    State.WAITING: _("Waiting for the customer’s answer"),
    State.DEPOSIT_DUE: _("Waiting for the deposit"),
    State.PARTS_ON_ORDER: _("Waiting for parts"),
}


@dataclass(frozen=True)
class Task:
    """A job that needs this person: what to do, how urgent (0 first), and since when."""

    job: Job
    what: str | Promise
    urgency: int
    since: datetime
    notices: tuple[Notice, ...] = ()

    @property
    def is_late(self) -> bool:
        """Whether it has waited long."""
        return timezone.now() - self.since > LONG


@dataclass(frozen=True)
class Inbox:
    """One page of what needs this person, or of what waits for somebody else, and how many of each.

    Counted up to ``MOST``; ``needing_more`` and ``waiting_more`` tell that there are others.
    """

    tasks: list[Task]
    page: Page[Any]
    needing: int
    waiting: int
    needing_more: bool = False
    waiting_more: bool = False


def inbox(user: Any, *, waiting: bool = False, page: Any = 1) -> Inbox:
    """Return a page of what this person should look at, most urgent and longest waiting first.

    ``waiting`` asks for what waits for somebody else, longest first; a page that is not there is the nearest.
    """
    roles = roles_of(user)
    rows = [(_urgency(each, user, roles), each) for each in _candidates(user, roles)]
    rows.sort(key=lambda row: (row[0], row[1].since, row[1].pk))
    needing = [(each.pk, urgency) for urgency, each in rows if urgency < ELSEWHERE]
    elsewhere = [(each.pk, urgency) for urgency, each in rows if urgency == ELSEWHERE]
    shown = Paginator((elsewhere if waiting else needing)[:MOST], PAGE).get_page(page)
    return Inbox(
        _tasks(user, roles, list(shown)),
        shown,
        min(len(needing), MOST),
        min(len(elsewhere), MOST),
        len(needing) > MOST,
        len(elsewhere) > MOST,
    )


@dataclass(frozen=True)
class _Row:
    """What the urgency of a job depends on."""

    pk: int
    since: datetime
    state: str
    held: bool
    reviewer: int | None
    last_who: str
    asks: bool = False
    owes: bool = False


def _urgency(row: _Row, user: Any, roles: frozenset[str]) -> int:
    """Return how urgent a job is for this person, 0 first, ``ELSEWHERE`` when somebody else is to act."""
    if row.state in CLOSED and row.asks:
        return 1
    if row.state in CLOSED and row.owes:
        return 2
    if row.held and row.state not in CLOSED:
        return 0 if roles & {BUYER, *ANSWERERS} else ELSEWHERE
    if row.asks:
        return 1
    if row.state == State.IN_REVIEW and row.last_who == CUSTOMER and roles & ANSWERERS:
        return 1
    if row.state == State.IN_REVIEW and row.reviewer not in (None, user.pk):
        return ELSEWHERE
    if row.state == State.HANDED_OVER:
        return 3 if roles & ANSWERERS else ELSEWHERE
    role, urgency, _what = NEEDS.get(row.state, ("", ELSEWHERE, ""))
    return urgency if roles & {role, MANAGER} else ELSEWHERE


def _candidates(user: Any, roles: frozenset[str]) -> list[_Row]:
    """Return the jobs that may stand among the first ``MOST`` of either list, in two queries.

    Of each state the longest waiting, by an index; of those that something is said about, all that a bound
    of their own allows. So it is bounded, with twenty thousand jobs under way too.
    """
    states = visible_states(roles)
    known: dict[int, _Row] = {}
    for row in _told_of(roles, states):
        before = known.get(row.pk, row)
        known[row.pk] = replace(row, asks=row.asks or before.asks, owes=row.owes or before.owes)
    asking = Counter(row.state for row in known.values() if row.asks)
    first, *others = _longest(user, states - CLOSED, asking)
    for facts in first.union(*others, all=True):
        known.setdefault(facts[0], _Row(*facts))
    return list(known.values())


def _told_of(roles: frozenset[str], states: set[State]) -> Iterator[_Row]:
    """Yield the jobs that are looked at for another reason than their state, once for each reason.

    A room above has something to say of them to whoever answers customers; their money waits for the manager
    after they were closed, the oldest; the wheel fasteners are due.
    """
    due = Job.objects.filter(recheck_due_on__lte=timezone.localdate()).order_by("recheck_due_on", "pk")
    reasons = [(due.values("pk")[: MOST + 1], False, False)]
    if roles & ANSWERERS:
        asking = queries_of(jobs_asking, Job)
        reasons += [(ids.order_by().values("job_id").distinct()[:MOST_ASKING], True, False) for ids in asking]
    if MANAGER in roles:
        owing = queries_of(jobs_to_settle, Job)
        reasons += [(ids.values("job_id")[: MOST + 1], False, True) for ids in owing]
    first, *others = (
        Job.objects.filter(pk__in=ids, state__in=states)
        .order_by()
        .values_list(*FACTS, Value(asks), Value(owes))
        for ids, asks, owes in reasons
    )
    for row in first.union(*others, all=True):
        yield _Row(*row)


def _longest(user: Any, states: set[State], asking: Counter[str]) -> list[QuerySet[Any]]:
    """Return queries for the longest waiting of each kind; those in review are of three kinds.

    Of each as many more as ask for something in its state, and stand elsewhere for it.
    """
    kinds = [(Q(held=True, state__in=states), 0)]
    kinds += [(Q(held=False, state=each), asking[each]) for each in sorted(states - {State.IN_REVIEW})]
    if State.IN_REVIEW in states:
        answered, another = Q(last_who=CUSTOMER), Q(reviewer__isnull=False) & ~Q(reviewer=user)
        in_review, more = Q(held=False, state=State.IN_REVIEW), asking[State.IN_REVIEW]
        kinds += [(in_review & way, more) for way in (answered, ~answered & another, ~answered & ~another)]
    keys = Job.objects.order_by("state_since", "pk").values("pk")
    longest = [keys.filter(kind)[: MOST + 1 + more] for kind, more in kinds]
    return [Job.objects.filter(pk__in=each).order_by().values_list(*FACTS) for each in longest]


def _tasks(user: Any, roles: frozenset[str], rows: list[tuple[int, int]]) -> list[Task]:
    """Return the rows in words: two queries for the jobs and what is said of them, however many."""
    jobs = {job.pk: job for job in listed(Job.objects.filter(pk__in=[pk for pk, _urgency in rows]))}
    notices = notices_of(jobs.values()) if roles & ANSWERERS else {}
    return [
        _told(Task(job, what(job, user), urgency, job.state_since), roles, notices.get(pk, []))
        for pk, urgency in rows
        if (job := jobs.get(pk))
    ]


def _told(task: Task, roles: frozenset[str], notices: list[Notice]) -> Task:
    if task.job.unread and roles & ANSWERERS:  # type: ignore[attr-defined]
        said = gettext("%(task)s. The customer has written") % {"task": task.what}
        task = replace(task, what=said)
    return replace(task, notices=tuple(notices))


def what(job: Job, user: Any) -> str | Promise:
    """Return what is to be done with the job, or what it waits for."""
    if job.is_closed and MANAGER in roles_of(user) and (owed := _of_money(job)):
        return owed
    if job.is_held:
        return gettext("On hold: %(reason)s") % {"reason": hold_in_short(job)}
    if job.state in WAITS:
        return WAITS[State(job.state)]
    if job.state == State.HANDED_OVER and job.recheck_due_on and job.recheck_due_on <= timezone.localdate():
        return _("Wheel fasteners: the recheck is due, ring the customer")
    if job.state == State.IN_REVIEW and job.last_who == CUSTOMER:
        return _("The customer has answered")
    if job.state == State.IN_REVIEW and job.reviewer and job.reviewer_id != user.pk:
        name = job.reviewer.get_short_name() or job.reviewer.get_username()
        return gettext("%(name)s is reviewing it") % {"name": name}
    if job.state == State.BOOKED and job.booked_start:
        when = date_format(timezone.localtime(job.booked_start), "D j M, H:i")
        return gettext("Bring the vehicle in on %(when)s") % {"when": when}
    return NEEDS[job.state][2] if job.state in NEEDS else str(job.get_state_display())


def _of_money(job: Job) -> str:
    """Return what is to be done about a closed job's money, or nothing."""
    ledger = getattr(job, "ledger", None)
    if ledger is None:
        return ""
    if ledger.outstanding_cents:
        return gettext("%(amount)s is still to come") % {"amount": f"{ledger.outstanding} {ledger.currency}"}
    if ledger.over_cents:
        return gettext("%(amount)s is held: decide what goes back") % {
            "amount": f"{ledger.over} {ledger.currency}"
        }
    return gettext("Issue the invoice") if ledger.is_to_invoice else ""
