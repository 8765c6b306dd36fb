"""Work at the bench: steps ticked in order, torque entered against its target, photos, reasons."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from configurator.pages.told import number

from .bookin import is_booked_in
from .errors import UnmetError, WrongStateError
from .evaluations import copied, evaluation_of
from .models import Job, JobOperation
from .moving import check_role, locked, record
from .photos import cleaned
from .roles import Actor, By, actor
from .states import MANAGER, TECHNICIAN, State
from .steps_kept import PUT_BACK

AT_THE_BENCH = frozenset({TECHNICIAN, MANAGER})
# ISO 6789-1: permissible relative deviation of a setting torque tool above 10 N m (from memory).
BAND_PCT = 4.0


@dataclass(frozen=True)
class Band:
    """The torque that counts as right, in N m."""

    target: float
    low: float
    high: float


def band(target_nm: float) -> Band:
    """Return the band round a target torque."""
    off = target_nm * BAND_PCT / 100
    return Band(target_nm, round(target_nm - off, 1), round(target_nm + off, 1))


def waiting_until(step: JobOperation) -> datetime | None:
    """Return when a done step's wait (drying, curing) is over."""
    return step.done_at + timedelta(hours=step.wait_h) if step.done_at and not step.is_skipped else None


def out_of_order(step: JobOperation, steps: dict[str, JobOperation], now: datetime) -> list[str]:
    """Return in words what should come before this step and has not, or has not dried yet."""
    found = []
    for key in step.after:
        before = steps.get(key)
        if before is None:
            continue
        until = waiting_until(before)
        if before.done_at is None:
            found.append(_("“%(step)s” is not done") % {"step": copied(step.job, before.name)})
        elif until and until > now:
            found.append(
                _("“%(step)s” waits until %(when)s")
                % {
                    "step": copied(step.job, before.name),
                    "when": date_format(timezone.localtime(until), "D H:i"),
                }
            )
    return found


def not_booked_in(step: JobOperation, *, on_record: bool) -> list[str]:
    """Return in words that the vehicle's coming in is not on record, at the step that says it is."""
    if step.stage != "book-in" or on_record:
        return []
    return [_("The book-in with photos, mileage and keys is not complete")]


def tick(
    *,
    job_id: int,
    step_id: int,
    by: By,
    reason: str = "",
    note: str = "",
    readings: tuple[float, ...] = (),
    photo: bytes = b"",
    photo_for_customer: bool = False,
) -> bool:
    """Mark a step done; ticking it twice does it once.

    Out of order, or while something before it still dries, only with a reason. A step with a torque
    needs one reading a fastener, each inside the band. Raises UnmetError naming the field.
    """
    with transaction.atomic():
        job, step, who = _open(job_id, step_id, by)
        if step.done_at:
            return False
        steps = {each.key: each for each in job.operations.all()}
        early = [
            *not_booked_in(step, on_record=is_booked_in(job)),
            *out_of_order(step, steps, timezone.now()),
        ]
        if early and not reason.strip():
            raise UnmetError(
                _("%(steps)s. Give a reason to go on out of order.") % {"steps": "; ".join(early)}, "reason"
            )
        incomplete = _check_torque(step, readings, reason)
        if photo:
            _keep_photo(step, photo)
            step.photo_for_customer = photo_for_customer
        step.torque_readings, step.note = list(readings), note.strip()[:300]
        _close(step, who, reason if early or incomplete else "")
        record(job, who, "step.done", why=step.reason, step=step.name, key=step.key, readings=list(readings))
    return True


def skip(*, job_id: int, step_id: int, by: By, reason: str) -> bool:
    """Leave a step out, with a reason. Torque is never left out while its wheels were off."""
    with transaction.atomic():
        job, step, who = _open(job_id, step_id, by)
        if step.done_at:
            return False
        if not reason.strip():
            raise UnmetError(_("Say why the step is left out."), "reason")
        if step.torque_nm:
            raise UnmetError(_("Tightening to torque cannot be left out."), "reason")
        step.is_skipped = True
        _close(step, who, reason)
        record(job, who, "step.skipped", why=step.reason, step=step.name, key=step.key)
    return True


def undo(*, job_id: int, step_id: int, by: By, reason: str) -> bool:
    """Open a step again; what was entered stays in the history."""
    with transaction.atomic():
        job, step, who = _open(job_id, step_id, by)
        if not step.done_at:
            return False
        if not reason.strip():
            raise UnmetError(_("Say why the step is opened again."), "reason")
        if not _is_still_to_do(job, step):
            raise UnmetError(_("This step belongs to what was taken off the job; its record stands."))
        was = list(step.torque_readings)
        step.done_at, step.done_by, step.is_skipped, step.torque_readings = None, None, False, []
        step.reason = reason.strip()[:300]
        step.save()
        record(job, who, "step.undone", why=step.reason, step=step.name, key=step.key, readings=was)
    return True


def _is_still_to_do(job: Job, step: JobOperation) -> bool:
    """Whether what is agreed now asks for the step, or it puts back what a dropped choice took off."""
    work = evaluation_of(job.revision).work
    asked = {one.key for one in work.steps} if work else set()
    return step.key in asked or step.stage in PUT_BACK


def _open(job_id: int, step_id: int, by: By) -> tuple[Job, JobOperation, Actor]:
    who = actor(by)
    job = locked(job_id)
    check_role(who, AT_THE_BENCH, _("Work at the bench"))
    if job.state != State.IN_THE_BAY:
        raise WrongStateError(
            _("%(number)s is “%(state)s”: steps are ticked in the bay.")
            % {"number": job.number, "state": State(job.state).label}
        )
    step = job.operations.filter(pk=step_id).first()
    if step is None:
        raise WrongStateError(_("The job no longer has this step. Look at the list again."))
    return job, step, who


def _check_torque(step: JobOperation, readings: tuple[float, ...], reason: str) -> bool:
    """Check one reading a fastener, each inside the band; return whether the reason was needed.

    Fewer readings than fasteners need a reason, which stands on the handover paper. Outside the band no
    reason helps: a wheel that is not tight, or too tight, is tightened again.
    """
    if not step.torque_nm:
        return False
    if not readings:
        raise UnmetError(_("Enter the torque of every fastener."), "readings")
    right = band(step.torque_nm)
    for fastener, reading in enumerate(readings, start=1):
        if not math.isfinite(reading) or not right.low <= reading <= right.high:
            raise UnmetError(
                _(
                    "Fastener %(number)s: %(reading)s N m is outside %(low)s to %(high)s N m. Loosen it, "
                    "tighten it again crosswise, and enter the new figure."
                )
                % {
                    "number": fastener,
                    "reading": number(reading),
                    "low": number(right.low),
                    "high": number(right.high),
                },
                f"reading-{fastener}",
            )
    if not step.fastener_count or len(readings) == step.fastener_count:
        return False
    if not reason.strip():
        raise UnmetError(
            _(
                "%(n)s of %(of)s fasteners have a reading. Enter every one, or say why not: the reason "
                "stands on the handover paper."
            )
            % {"n": len(readings), "of": step.fastener_count},
            "reason",
        )
    return True


def _keep_photo(step: JobOperation, data: bytes) -> None:
    clean = cleaned(data, "photo")
    step.photo.save("step.jpg", clean, save=False)


def _close(step: JobOperation, who: Actor, reason: str) -> None:
    step.done_at, step.done_by, step.reason = timezone.now(), who.user, reason.strip()[:300]
    step.save()
