"""What the plan hears of jobs and answers about them; connected in ``shop.wiring``."""

from __future__ import annotations

from typing import Any

from django.db.models import F, QuerySet, Value
from django.urls import reverse
from django.utils.translation import gettext as _

from shop.jobs.models import Job
from shop.jobs.signals import Notice, Saying
from shop.jobs.states import State

from .booking import TO_BOOK
from .dates import Estimate, estimate
from .loading import PLANNED
from .models import BrokenPromise, DateWish
from .promises import PROMISED, Settled, settle_of_job
from .wishes import ask_for_plan

REPLAN_AFTER = frozenset(
    {
        State.DEPOSIT_DUE,
        State.DEPOSIT_IN,
        State.PARTS_IN,
        State.BOOKED,
        State.IN_THE_BAY,
        State.CANCELLED,
        State.DECLINED,
    }
)


def when_job_moved(sender: object, job: Job, to: str, **kwargs: Any) -> None:
    """Have the plan made anew after the commit when a move changes what there is to plan."""
    if to not in PROMISED:
        settle_of_job(job, Settled.ENDED)
    if to in REPLAN_AFTER:
        ask_for_plan()


def when_job_amended(sender: object, job: Job, **kwargs: Any) -> None:
    """Have the plan made anew when the work of a job in it has changed."""
    if job.state in PLANNED:
        ask_for_plan()


def when_possible(sender: object, job: Job, **kwargs: Any) -> Estimate | None:
    """Answer when a job that is not in the plan yet could start and be ready."""
    return estimate(job)


def when_asked_for_notices(sender: object, **kwargs: Any) -> list[Saying]:
    """Answer with customers who want other days, and dates that no longer hold."""
    broken = BrokenPromise.objects.filter(settled="")
    return [Saying(_wishes(), _wished, Value("")), Saying(broken, _no_longer, F("because"))]


def _wished(job: Job, rows: list[str]) -> list[Notice]:
    text = _("The customer would rather come on another day")
    return [Notice(text, reverse("shop:job_dates", args=[job.number])) for _row in rows]


def _no_longer(job: Job, becauses: list[str]) -> list[Notice]:
    text = _("The plan no longer keeps the fixed dates: %(why)s")
    address = reverse("shop:job_dates", args=[job.number])
    return [Notice(text % {"why": BrokenPromise.Because(because).label}, address) for because in becauses]


def when_asked_who_asks(sender: object, **kwargs: Any) -> list[Any]:
    """Answer with the jobs that ``when_asked_for_notices`` has something to say about."""
    return [each.values("job_id") for each in (_wishes(), BrokenPromise.objects.filter(settled=""))]


def _wishes() -> QuerySet[DateWish]:
    """Return the wishes that can be answered: one that came early waits for the parts."""
    return DateWish.objects.filter(answer="", job__state__in=TO_BOOK)
