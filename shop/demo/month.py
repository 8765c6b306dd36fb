"""A month in the demonstration's workshop: sixteen builds, by the product's own deeds.

All of it is one transaction, so that half a month never stands; what was promised meanwhile is kept at the
time at which it was promised, and the plan is made once, after the commit.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from shop.jobs import agreement, desk
from shop.jobs import service as jobs
from shop.jobs.models import Job
from shop.jobs.press import new_key
from shop.jobs.states import State
from shop.messages import conversation
from shop.parts.models import PurchaseOrder
from shop.planning.wishes import ask_for_plan

from . import deeds
from .builds import BUILDS
from .clock import at
from .deeds import Staff, moment
from .showing import STORIES, show
from .statement import import_statement_of


@dataclass(frozen=True)
class Life:
    """One build of the month: how many days ago it was sent, how far it has come, and when work begins.

    ``begins`` counts days from today, negative in the past; ``share`` is how much of the work is done.
    """

    build: str
    sent: int
    until: State
    begins: int = 0
    share: float = 1.0


S = State
LIVES = (
    Life("pickup", 28, S.HANDED_OVER, -15),
    Life("handles", 26, S.HANDED_OVER, -11),
    Life("van-wheels", 24, S.READY, -2),
    Life("car", 22, S.IN_THE_BAY, -1, 0.5),
    Life("estate", 20, S.IN_THE_BAY, 0, 0.15),
    Life("people-van", 18, S.BOOKED, 2),
    Life("grille", 17, S.BOOKED, 5),
    Life("bike", 15, S.PARTS_IN),
    Life("spacers", 14, S.CANCELLED),
    Life("badges", 13, S.DECLINED),
    Life("splitter", 12, S.PARTS_ON_ORDER),
    Life("mirror-caps", 9, S.PARTS_ON_ORDER),
    Life("arches", 7, S.DEPOSIT_DUE),
    Life("film", 5, S.WAITING),
    Life("skirts", 3, S.IN_REVIEW),
    Life("tank", 1, S.SENT),
)
LATE = "splitter"
FIRST_SENT = 29
"""How many days ago the demo command's own job was sent."""


@transaction.atomic
def make_month(first: Job) -> None:
    """Live the month; ``first`` is the job that the demo command sent, which waits for its deposit."""
    staff = Staff()
    for life in LIVES:
        job = deeds.send(BUILDS[life.build], moment(life.sent, 9, 40))
        live(job, life, staff)
    _came_back_to(first, staff)
    import_statement_of(staff)
    ask_for_plan()


def live(job: Job, life: Life, staff: Staff) -> None:
    """Take one job as far as it has come."""
    if life.until in SIDEWAYS:
        SIDEWAYS[life.until](job, life, staff)
        return
    if life.until == S.SENT:
        return
    deeds.agree(job, staff, moment(life.sent - 1, 11))
    if life.until == S.DEPOSIT_DUE:
        return
    deeds.pay(job, staff, moment(life.sent - 2, 14))
    placed = deeds.order(job, staff, moment(life.sent - 3, 9))
    if life.until == S.PARTS_ON_ORDER:
        _still_coming(life, placed, staff)
        return
    deeds.answer(placed, staff, moment(life.sent - 3, 15), deeds.CONFIRMED, None)
    deeds.come(placed, staff, moment(life.sent - 7, 10))
    if life.until != S.PARTS_IN:
        _in_the_workshop(job, life, staff)


def _still_coming(life: Life, placed: list[PurchaseOrder], staff: Staff) -> None:
    """One job's orders are late by what their suppliers said; of another's, one came and the rest is told."""
    if life.build == LATE:
        day = timezone.localdate() - timedelta(days=2)
        deeds.answer(placed, staff, moment(life.sent - 4, 11), deeds.LATER, day)
    else:
        deeds.come(placed[:1], staff, moment(1, 10))
        deeds.answer(placed[1:], staff, moment(1, 11), deeds.LATER, timezone.localdate() + timedelta(days=3))


def _in_the_workshop(job: Job, life: Life, staff: Staff) -> None:
    wanted = timezone.localdate() + timedelta(days=life.begins)
    day = deeds.book(job, staff, moment(life.sent - 8, 12), wanted)
    if life.until == S.BOOKED:
        return
    begins = (timezone.localdate() - day).days
    deeds.begin_work(job, staff, moment(begins, 8, 15))
    deeds.work(job, staff, moment(begins, 8, 30), share=life.share)
    if life.until == S.IN_THE_BAY:
        return
    ready = max(begins - 3, 0)
    deeds.make_ready(job, staff, moment(ready, 16, 30))
    if life.until == S.HANDED_OVER:
        deeds.hand_over(job, staff, moment(max(ready - 1, 0), 17))
        if life.build in STORIES:
            show(job, STORIES[life.build], staff, moment(max(ready - 2, 0), 18))
        _recheck(job, staff, ready - 6)


def _recheck(job: Job, staff: Staff, days_ago: int) -> None:
    """The wheel bolts are looked at again a week on, where wheels were off."""
    if days_ago >= 0:
        with at(moment(days_ago, 12)):
            jobs.recheck(job_id=job.pk, by=staff.technician, note="All at their torque after 70 km.")


def _asked(job: Job, life: Life, staff: Staff) -> None:
    with at(moment(life.sent - 1, 15)):
        jobs.take_into_review(job_id=job.pk, by=staff.reviewer)
        agreement.ask_customer(
            job_id=job.pk,
            by=staff.reviewer,
            question="Der Steinschlagschutz endet an der Haubenkante. Soll er bis unter den Grill gehen?",
        )
        deeds.keep_promises()
    with at(moment(life.sent - 2, 19)):
        text = "Ich überlege es mir bis morgen. Bleibt die Folie auch nach ein paar Jahren klar?"
        conversation.write_as_customer(job_id=job.pk, text=text, press=new_key())
        deeds.keep_promises()


def _looked_at(job: Job, life: Life, staff: Staff) -> None:
    with at(moment(life.sent - 1, 9)):
        jobs.take_into_review(job_id=job.pk, by=staff.reviewer)
        conversation.write_as_workshop(
            job_id=job.pk, user=staff.reviewer, press=new_key(),
            text="Danke, wir sehen es durch und melden uns bis Freitag.",
        )  # fmt: skip
        deeds.keep_promises()
    with at(moment(max(life.sent - 2, 0), 9)):
        desk.add_note(
            job_id=job.pk, by=staff.reviewer, kind="call", press=new_key(), spoken_with="Herr Senft",
            text="The van is free from Thursday on; he brings it in the evening.",
        )  # fmt: skip


def _declined(job: Job, life: Life, staff: Staff) -> None:
    with at(moment(life.sent - 1, 10)):
        jobs.take_into_review(job_id=job.pk, by=staff.reviewer)
        why = "Unter dem hinteren Emblem ist der Lack gerissen; das sieht erst nach dem Lackieren gut aus."
        jobs.decline(job_id=job.pk, by=staff.reviewer, why=why)
        deeds.keep_promises()


def _called_off(job: Job, life: Life, staff: Staff) -> None:
    deeds.agree(job, staff, moment(life.sent - 1, 11))
    deeds.pay(job, staff, moment(life.sent - 3, 10))
    with at(moment(life.sent - 5, 18)):
        jobs.cancel(job_id=job.pk, by="customer", why="Wir haben das Auto verkauft.")
        deeds.keep_promises()


def _came_back_to(first: Job, staff: Staff) -> None:
    """The job that the command sent: asked, answered weeks later, and agreed; its deposit is awaited."""
    with at(moment(FIRST_SENT - 1, 10)):
        jobs.take_into_review(job_id=first.pk, by=staff.reviewer)
        question = "Which lettering is the firm's own and stays: both doors, or the tailgate too?"
        agreement.ask_customer(job_id=first.pk, by=staff.reviewer, question=question)
        deeds.keep_promises()
    with at(moment(3, 20)):
        agreement.answer_as_customer(job_id=first.pk, answer="Only the doors. Sorry for the wait!")
        deeds.keep_promises()
    first.refresh_from_db()
    deeds.agree(first, staff, moment(2, 9))


SIDEWAYS: dict[State, Callable[[Job, Life, Staff], None]] = {
    S.WAITING: _asked,
    S.IN_REVIEW: _looked_at,
    S.DECLINED: _declined,
    S.CANCELLED: _called_off,
}
