"""How rooms above jobs take part in a job's life, inside the transaction of the change.

Announcements, for whoever listens; a receiver that raises undoes the change:
``job_opened``: ``job``, ``evaluation``. ``job_amended``: ``job``, ``evaluation``.
``job_moved``: ``job``, ``source``, ``to``, ``entry``.
``job_released``: ``job``, whose hold was lifted, and the ``hold_id`` of that hold, empty for a person's own:
who would have held it meanwhile holds it now.
``job_forgotten``: ``job``, whose customer is being forgotten: what rooms above hold in words about it goes.
``contact_noted``: ``job``, whenever something of its contact or vehicle was put right.
``contact_corrected``: ``job``, ``entry``, the mail address ``before`` and ``after``, and ``renewed``: whether
the link was taken back with a wrong address.

Questions, for whoever knows; nobody answering means that nothing stands in the way:
``parts_missing``: ``job``; each answer is a list of what is not here yet, in words.
``parts_unordered``: ``job``; each answer is a list of what is neither here nor on order, in words.
``bought_in_vain``: ``job`` and ``evaluation`` of another build; each answer is a list of label and amount of
what was bought for the job, cannot go back, and is not in that build.
``before_handover``: ``job``; each answer is a warning (a sentence of ``said``) that handing over needs a
reason against.
``parts_expected``: ``jobs``; each answer has, by job's key, when the last part on order should be here.
``job_notices``: nothing; each answer is a list of ``Saying``: where what should be known of jobs is read.
``jobs_asking``: nothing; each answer is a list of queries for the keys of jobs with something to look at.
``jobs_to_settle``: nothing; each answer is a list of queries, in order, for closed jobs with money to settle.
``inbox_opened``: ``user``; each answer is a ``Notice`` of something beyond single jobs, or None.
``jobs_named``: ``number`` of a paper; each answer is a query for the keys of the jobs it belongs to.
``customer_asked``: ``key`` of a customer's record; the answer is the contact a new job begins with.
``customers_asked``: ``jobs`` of a page; each answer is a list of ``Notice``: whose they are, with pages.
``possible_dates``: ``job``; each answer has ``start`` and ``ready``, or is None when it cannot be said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.db.models import F, QuerySet, Value
from django.dispatch import Signal

job_opened = Signal()
job_amended = Signal()
job_moved = Signal()
job_released = Signal()
job_forgotten = Signal()
contact_corrected = Signal()
contact_noted = Signal()

parts_missing = Signal()
parts_unordered = Signal()
bought_in_vain = Signal()
before_handover = Signal()
parts_expected = Signal()
job_notices = Signal()
jobs_asking = Signal()
jobs_to_settle = Signal()
inbox_opened = Signal()
jobs_named = Signal()
possible_dates = Signal()
customer_asked = Signal()
customers_asked = Signal()


def answers(question: Signal, job: Any) -> list[Any]:
    """Return what the rooms above answer about a job, without the empty answers."""
    return [answer for _, answer in question.send(type(job), job=job) if answer]


def answers_about(question: Signal, job: Any, **more: Any) -> list[Any]:
    """Ask about a job and something else; return the answers that are not empty."""
    return [answer for _, answer in question.send(type(job), job=job, **more) if answer]


def queries_of(question: Signal, sender: Any) -> list[Any]:
    """Ask a question whose answers are lists of queries; return all of them."""
    found: list[Any] = []
    for _, answer in question.send(sender):
        found.extend(answer if isinstance(answer, list) else [])
    return found


@dataclass(frozen=True)
class Notice:
    """What somebody should know of a job, with the page where it is dealt with; ``tone`` is warn or info."""

    text: str
    address: str
    tone: str = "warn"


@dataclass(frozen=True)
class Saying:
    """Rows of a table with something to say of their jobs, and how a job's texts become notices.

    ``text`` is what the words need of a row, ``order`` a column of whole numbers that its job's rows follow.
    """

    rows: QuerySet[Any]
    told: Callable[[Any, list[str]], list[Notice]]
    text: F | Value
    order: str = "pk"


def notices_of(jobs: Iterable[Any]) -> dict[int, list[Notice]]:
    """Return by job's key what should be known of these jobs: one query, however many rooms and jobs."""
    known = {job.pk: job for job in jobs}
    found: dict[int, list[Notice]] = {}
    if not known:
        return found
    sayings: list[Saying] = queries_of(job_notices, type(next(iter(known.values()))))
    first, *others = [
        each.rows.filter(job__in=known).order_by().values_list("job_id", Value(n), F(each.order), each.text)
        for n, each in enumerate(sayings)
    ]
    rows = sorted(first.union(*others, all=True))
    for (key, n), group in groupby(rows, lambda row: row[:2]):
        notices = sayings[n].told(known[key], [text for *_place, text in group])
        found.setdefault(key, []).extend(notices)
    return found


def answers_for(question: Signal, jobs: Iterable[Any], **more: Any) -> dict[int, list[Any]]:
    """Ask about many jobs at once; return the answers of all rooms by job's key."""
    known = list(jobs)
    found: dict[int, list[Any]] = {}
    if known:
        for _, answer in question.send(type(known[0]), jobs=known, **more):
            by_job: dict[int, Any] = answer if isinstance(answer, dict) else {}
            for key, value in by_job.items():
                found.setdefault(key, []).extend(value if isinstance(value, list) else [value])
    return found
