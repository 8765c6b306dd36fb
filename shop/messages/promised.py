"""By when the workshop answers a build that was sent or an answer that was given: its promise in days."""

from __future__ import annotations

from datetime import date

from django.utils import timezone

from configurator.catalogue import workshop as workshops
from shop.jobs.models import Job
from shop.jobs.states import CUSTOMER, State
from shop.planning.selectors import working_day_after

OURS_TO_ANSWER = (State.SENT, State.IN_REVIEW)


def answer_due(job: Job) -> date | None:
    """Return the day by which the customer hears of us, while it is our turn and we have promised one.

    It counts from what the customer did last, sending or answering; a build that staff took up by
    themselves, or opened again, was promised nothing.
    """
    workshop = workshops.current()
    if job.state not in OURS_TO_ANSWER or workshop is None or not workshop.answer_days:
        return None
    moves = job.history.exclude(to_state="").exclude(from_state=State.SENT, to_state=State.IN_REVIEW)
    last = moves.last()
    if last is None or last.who != CUSTOMER:
        return None
    return working_day_after(timezone.localdate(last.at), workshop.answer_days)
