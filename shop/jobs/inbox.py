"""What each member of staff should look at: sorted, counted and paged by the database.

``URGENCY`` is one expression; whatever the number of jobs, a page is the same few queries and never reads
more jobs than it shows.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Case, Count, IntegerField, Q, QuerySet, When
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from .access import visible_jobs
from .models import Job
from .roles import roles_of
from .said import hold_of
from .selectors import HELD, listed
from .signals import Notice, answers_for, job_notices, jobs_asking
from .states import BUYER, CLOSED, CUSTOMER, MANAGER, REVIEWER, TECHNICIAN, State

LONG = timedelta(days=2)
PAGE = 12
ELSEWHERE = 9
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
    """One page of what needs this person, or of what waits for somebody else, and how many of each."""

    tasks: list[Task]
    page: Page[Any]
    needing: int
    waiting: int


def inbox(user: Any, *, waiting: bool = False, page: Any = 1) -> Inbox:
    """Return a page of what this person should look at, most urgent and longest waiting first.

    ``waiting`` asks for what waits for somebody else, longest first; a page that is not there is the nearest.
    """
    roles = roles_of(user)
    jobs = with_urgency(user, roles)
    counts = jobs.order_by().aggregate(
        needing=Count("pk", filter=Q(urgency__lt=ELSEWHERE)), waiting=Count("pk", filter=Q(urgency=ELSEWHERE))
    )
    wanted = jobs.filter(urgency=ELSEWHERE) if waiting else jobs.filter(urgency__lt=ELSEWHERE)
    pages = Paginator(wanted.order_by("urgency", "state_since", "pk").values_list("pk", "urgency"), PAGE)
    pages.count = counts["waiting" if waiting else "needing"]
    shown = pages.get_page(page)
    return Inbox(_tasks(user, roles, list(shown)), shown, **counts)


def with_urgency(user: Any, roles: frozenset[str]) -> QuerySet[Any]:
    """Return the jobs that are under way or ask for something, each with its urgency for this person."""
    to_recheck = Q(recheck_due_on__lte=timezone.localdate())
    asking = _asking() if roles & ANSWERERS else Q(pk__in=[])
    money = _money_to_settle() if MANAGER in roles else Q(pk__in=[])
    jobs = visible_jobs(user).filter(~Q(state__in=CLOSED) | to_recheck | asking | money)
    held = 0 if roles & {BUYER, *ANSWERERS} else ELSEWHERE
    another = Q(state=State.IN_REVIEW, reviewer__isnull=False) & ~Q(reviewer=user)
    answered = Q(state=State.IN_REVIEW, last_who=CUSTOMER)
    mine = {state: urgency for state, (role, urgency, _what) in NEEDS.items() if roles & {role, MANAGER}}
    cases = [When(asking & Q(state__in=CLOSED), then=1), When(money & Q(state__in=CLOSED), then=2)]
    cases += [When(HELD, then=held), When(asking, then=1)]
    if State.IN_REVIEW in mine:
        cases.append(When(answered, then=1))
    cases.append(When(another, then=ELSEWHERE))
    cases += [When(state=state, then=urgency) for state, urgency in mine.items()]
    if roles & ANSWERERS:
        cases.append(When(state=State.HANDED_OVER, then=3))
    return jobs.annotate(urgency=Case(*cases, default=ELSEWHERE, output_field=IntegerField()))


def _asking() -> Q:
    """Jobs about which a room above has something to say to whoever answers customers."""
    found = Q(pk__in=[])
    for _receiver, ids in jobs_asking.send(Job):
        for each in ids or ():
            found |= Q(pk__in=each)
    return found


def _money_to_settle() -> Q:
    """Closed jobs whose money waits for the manager; the ledger keeps that fact."""
    closed = Job.objects.filter(state__in=CLOSED).order_by().values("pk")
    return Q(pk__in=closed.filter(ledger__is_to_settle=True)) | Q(
        pk__in=closed.filter(ledger__is_to_invoice=True)
    )


def _tasks(user: Any, roles: frozenset[str], rows: list[tuple[int, int]]) -> list[Task]:
    """Return the rows in words: two queries for the jobs and what is known of them, however many."""
    jobs = {job.pk: job for job in listed(Job.objects.filter(pk__in=[pk for pk, _urgency in rows]))}
    notices = answers_for(job_notices, jobs.values()) if roles & ANSWERERS else {}
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
        return gettext("On hold: %(reason)s") % {"reason": hold_of(job)}
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
