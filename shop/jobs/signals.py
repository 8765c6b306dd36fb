"""How rooms above jobs take part in a job's life, inside the transaction of the change.

Announcements, for whoever listens; a receiver that raises undoes the change:
``job_opened``: ``job``, ``evaluation``. ``job_amended``: ``job``, ``evaluation``.
``job_moved``: ``job``, ``source``, ``to``, ``entry``.

Questions, for whoever knows; nobody answering means that nothing stands in the way:
``parts_missing``: ``job``; each answer is a list of what is not here yet, in words.
``before_handover``: ``job``; each answer is a warning that handing over needs a reason against.
``possible_dates``: ``job``; each answer has ``start`` and ``ready``, or is None when it cannot be said.
"""

from __future__ import annotations

from typing import Any

from django.dispatch import Signal

job_opened = Signal()
job_amended = Signal()
job_moved = Signal()

parts_missing = Signal()
before_handover = Signal()
possible_dates = Signal()


def answers(question: Signal, job: Any) -> list[Any]:
    """Return what the rooms above answer about a job, without the empty answers."""
    return [answer for _, answer in question.send(type(job), job=job) if answer]
