"""What a job notes of its deposit: asked for, covered, gone again."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from .models import Job
from .moving import check_role, locked, move, record
from .roles import THE_SYSTEM, Actor, By, actor
from .states import MOVES, State, roles_into


def ask_for_deposit(*, job_id: int) -> bool:
    """Go from agreed to deposit due; money moves the job on when the deposit is covered already."""
    mail = "deposit_request" if _asks_in_advance(job_id) else ""
    return move(job_id=job_id, to=State.DEPOSIT_DUE, by=THE_SYSTEM, mail=mail)


def _asks_in_advance(job_id: int) -> bool:
    """Whether there is a deposit at all: of a small repair or a warranty visit none may be asked."""
    price = Job.objects.values_list("revision__evaluation__price", flat=True).get(pk=job_id)
    return not price or Decimal(price["deposit"]) > 0


def deposit_received(*, job_id: int, by: By, data: dict[str, Any] | None = None) -> bool:
    """Note that the deposit is covered; the job moves on now, or once it is agreed.

    Money that comes early, while the job is still in review, is noted and never lost.
    """
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, roles_into(State.DEPOSIT_IN), _("Noting a deposit"))
        early = job.state in (State.SENT, State.IN_REVIEW, State.WAITING, State.AGREED)
        if early:
            return _note_early(job, who, data or {})
        changes = {"deposit_paid_at": job.deposit_paid_at or timezone.now()}
        if job.state != State.DEPOSIT_DUE and job.deposit_paid_at:
            return False
        mail = "deposit_received" if _asks_in_advance(job_id) else ""
        return move(job_id=job_id, to=State.DEPOSIT_IN, by=who, data=data, changes=changes, mail=mail)


def _note_early(job: Job, who: Actor, data: dict[str, Any]) -> bool:
    if job.deposit_paid_at:
        return False
    job.deposit_paid_at = timezone.now()
    job.version += 1
    job.save(update_fields=["deposit_paid_at", "version"])
    record(job, who, "job.deposit_came_early", **data)
    return True


def deposit_gone(*, job_id: int, by: By, why: str) -> bool:
    """Note that the deposit is not covered any more; before the vehicle is here the job waits for it again.

    Dates that were booked are given up with it: the parts may have to go back.
    """
    with transaction.atomic():
        job = locked(job_id)
        gone: dict[str, Any] = {"deposit_paid_at": None, "booked_start": None, "promised_ready_at": None}
        if (job.state, State.DEPOSIT_DUE) in MOVES and job.state != State.AGREED:
            booked = timezone.localtime(job.booked_start).isoformat() if job.booked_start else ""
            return move(
                job_id=job_id, to=State.DEPOSIT_DUE, by=by, why=why, changes=gone, data={"booked": booked}
            )
        if job.deposit_paid_at is None:
            return False
        job.deposit_paid_at = None
        job.version += 1
        job.save(update_fields=["deposit_paid_at", "version"])
        record(job, actor(by), "job.deposit_gone", why=why)
    return True
