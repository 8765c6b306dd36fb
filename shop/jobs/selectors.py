"""What staff pages read. Every list is a fixed number of queries, however long it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from .access import visible_jobs
from .models import HistoryEntry, Job
from .roles import roles_of
from .signals import Notice, answers_for, job_notices
from .states import BUYER, CLOSED, CUSTOMER, MANAGER, REVIEWER, TECHNICIAN, State

LONG = timedelta(days=2)


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
    """What needs this person, and what waits for somebody else."""

    tasks: list[Task]
    waiting: list[Task]


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


def listed(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """Return the jobs with what a list shows: revision, reviewer, and who acted last."""
    last = HistoryEntry.objects.filter(job=OuterRef("pk")).order_by("-pk")
    return jobs.select_related("revision", "spec", "reviewer", "ledger").annotate(
        last_who=Subquery(last.values("who")[:1]),
        last_action=Subquery(last.values("action")[:1]),
        unread=Count("messages", filter=Q(messages__from_customer=True, messages__read_at=None)),
    )


def inbox(user: Any) -> Inbox:
    """Return what this member of staff should look at, most urgent and longest waiting first."""
    roles = roles_of(user)
    to_recheck = Q(recheck_due_on__lte=timezone.localdate())
    jobs = listed(visible_jobs(user)).filter(~Q(state__in=CLOSED) | to_recheck | _money_to_settle(roles))
    tasks: list[Task] = []
    waiting: list[Task] = []
    found = list(jobs)
    notices = answers_for(job_notices, found) if roles & {REVIEWER, MANAGER} else {}
    for job in found:
        task = _with_message(_task(job, user, roles), roles)
        if task and job.pk in notices:
            task = replace(task, notices=tuple(notices[job.pk]), urgency=min(task.urgency, 1))
        if task:
            (tasks if task.urgency < 9 else waiting).append(task)
    order = sorted(tasks, key=lambda task: (task.urgency, task.since))
    return Inbox(order, sorted(waiting, key=lambda task: task.since))


def _money_to_settle(roles: frozenset[str]) -> Q:
    """Return the closed jobs whose money waits for the manager; the ledger keeps that fact."""
    if MANAGER not in roles:
        return Q(pk__in=())
    return Q(ledger__is_to_settle=True) | Q(ledger__is_to_invoice=True)


def _task(job: Job, user: Any, roles: frozenset[str]) -> Task | None:
    if job.state in CLOSED and MANAGER in roles and (owed := _of_money(job)):
        return Task(job, owed, 2, job.state_since)
    if job.on_hold_reason:
        held = gettext("On hold: %(reason)s") % {"reason": job.on_hold_reason}
        return Task(job, held, 0 if roles & {BUYER, MANAGER, REVIEWER} else 9, job.state_since)
    if job.state in WAITS:
        return Task(job, WAITS[State(job.state)], 9, job.state_since)
    if job.state == State.HANDED_OVER:
        asks = 3 if roles & {REVIEWER, MANAGER} else 9
        return Task(job, _("Wheel fasteners: the recheck is due, ring the customer"), asks, job.state_since)
    what: str | Promise
    role, urgency, what = NEEDS.get(job.state, (MANAGER, 9, str(job.get_state_display())))
    if job.state == State.IN_REVIEW and job.last_who == CUSTOMER:  # type: ignore[attr-defined]
        urgency, what = 1, _("The customer has answered")
    elif job.state == State.IN_REVIEW and job.reviewer_id not in (None, user.pk):
        return Task(
            job, gettext("%(name)s is reviewing it") % {"name": _name(job.reviewer)}, 9, job.state_since
        )
    if job.state == State.BOOKED and job.booked_start:
        what = gettext("Bring the vehicle in on %(when)s") % {
            "when": date_format(timezone.localtime(job.booked_start), "D j M, H:i")
        }
    return Task(job, what, urgency if roles & {role, MANAGER} else 9, job.state_since)


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


def _with_message(task: Task | None, roles: frozenset[str]) -> Task | None:
    """Say so when the customer has written and nobody has read it; whoever answers customers is asked to."""
    if task is None or not task.job.unread or not roles & {REVIEWER, MANAGER}:  # type: ignore[attr-defined]
        return task
    return replace(
        task,
        what=gettext("%(task)s. The customer has written") % {"task": task.what},
        urgency=min(task.urgency, 1),
    )


def _name(user: Any) -> str:
    return user.get_short_name() or user.get_username()


def found_jobs(user: Any, words: str = "", state: str = "") -> QuerySet[Job]:
    """Return the jobs this member of staff sees, by words of number, name, registration, and by state."""
    jobs = listed(visible_jobs(user)).order_by("-opened_at", "-pk")
    if state:
        jobs = jobs.filter(state=state)
    for word in words.split()[:6]:
        jobs = jobs.filter(
            Q(number__icontains=word)
            | Q(revision__name__icontains=word)
            | Q(revision__registration__icontains=word)
            | Q(spec__name__icontains=word)
        )
    return jobs


def count_by_state(user: Any) -> dict[str, int]:
    """Return how many jobs this member of staff sees in each state."""
    rows = visible_jobs(user).order_by().values("state").annotate(n=Count("pk")).values_list("state", "n")
    return dict(rows)
