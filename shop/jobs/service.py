"""Each thing that can happen to a job, as one function: what other rooms call.

Every function here returns whether this call did it: doing it twice does it once, and the second
call returns False. Errors are ``JobError`` with a message for the person who asked.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from .booked import PlannedDates as PlannedDates
from .booked import book as book
from .booked import planned_dates as planned_dates
from .deposits import ask_for_deposit as ask_for_deposit
from .deposits import deposit_gone as deposit_gone
from .deposits import deposit_received as deposit_received
from .errors import NotAllowedError, UnmetError, WrongStateError
from .models import LINK_FIELDS
from .moving import check_role as check_role
from .moving import check_version as check_version
from .moving import locked as locked
from .moving import move as move
from .moving import promise_mail as promise_mail
from .moving import record as record
from .roles import Actor, By, actor
from .said import Kept, say, worded
from .signals import answers, before_handover, job_released
from .states import CLOSED, CUSTOMER, MANAGER, REVIEWER, SYSTEM, TECHNICIAN, State

RECHECK_AFTER = timedelta(days=7)
RECHECKERS = frozenset({REVIEWER, TECHNICIAN, MANAGER})


def take_into_review(*, job_id: int, by: By, version: int | None = None) -> bool:
    """Start reviewing: the job is this reviewer's from now on."""
    who = actor(by)
    return move(job_id=job_id, to=State.IN_REVIEW, by=who, version=version, changes={"reviewer": who.user})


def reopen(*, job_id: int, by: By, why: str, version: int | None = None) -> bool:
    """Take an agreed job back into review before its deposit is in; both agreements lapse."""
    lapsed = {"workshop_agreed_revision": None, "customer_agreed_revision": None, "agreed_revision": None}
    return move(job_id=job_id, to=State.IN_REVIEW, by=by, why=why, version=version, changes=lapsed)


def decline(*, job_id: int, by: By, why: str, version: int | None = None) -> bool:
    """Say no to the job, with a reason the customer is told."""
    return move(job_id=job_id, to=State.DECLINED, by=by, why=why, version=version, mail="declined")


def cancel(
    *, job_id: int, by: By, why: str, version: int | None = None, needs_no_reason: bool = False
) -> bool:
    """Call the job off before work starts, by the customer or on their behalf.

    ``needs_no_reason``: the terms promise the customer that none is asked for.
    """
    data = {"said": say("no_reason_needed")} if needs_no_reason and not why.strip() else None
    return move(
        job_id=job_id, to=State.CANCELLED, by=by, why=why, version=version, mail="cancelled", data=data
    )


def order_parts(*, job_id: int, by: By, why: str = "", version: int | None = None) -> bool:
    """Note that everything the job lacks has been ordered."""
    return move(job_id=job_id, to=State.PARTS_ON_ORDER, by=by, why=why, version=version)


def parts_arrived(*, job_id: int, by: By, version: int | None = None) -> bool:
    """Note that nothing of the parts list is missing any more."""
    return move(job_id=job_id, to=State.PARTS_IN, by=by, version=version)


def parts_wanted(*, job_id: int, by: By, why: str = "") -> bool:
    """Note that a change has the job lack parts that nobody has ordered."""
    return move(job_id=job_id, to=State.DEPOSIT_IN, by=by, why=why)


def back_in_the_bay(*, job_id: int, by: By, why: str, version: int | None = None) -> bool:
    """Take a vehicle that was called ready back to the bay: something is still to be done."""
    return move(job_id=job_id, to=State.IN_THE_BAY, by=by, why=why, version=version)


def unbook(*, job_id: int, by: By, why: str, tell: bool, version: int | None = None) -> bool:
    """Take fixed dates back: the job waits for a day again."""
    none = {"booked_start": None, "promised_ready_at": None}
    mail = "dates_taken_back" if tell else ""
    return move(job_id=job_id, to=State.PARTS_IN, by=by, why=why, version=version, changes=none, mail=mail)


def start_work(*, job_id: int, by: By, version: int | None = None) -> bool:
    """The vehicle is in the bay."""
    return move(job_id=job_id, to=State.IN_THE_BAY, by=by, version=version)


def make_ready(*, job_id: int, by: By, version: int | None = None) -> bool:
    """All steps are done and everything was measured: call the customer."""
    return move(job_id=job_id, to=State.READY, by=by, version=version, mail="ready")


def hand_over(*, job_id: int, by: By, why: str = "", version: int | None = None) -> bool:
    """Give the vehicle back; the wheel-bolt recheck falls due if wheels were off.

    A warning, such as money still to come, asks for a reason: ``UnmetError`` without one.
    """
    with transaction.atomic():
        job = locked(job_id)
        warnings = answers(before_handover, job) if job.state == State.READY else []
        if warnings and not why.strip():
            raise UnmetError(
                _("%(warning)s Give a reason to hand over all the same.")
                % {"warning": " ".join(worded(one, job) for one in warnings)},
                field="why",
            )
        now = timezone.now()
        changes: dict[str, datetime | date] = {"handed_over_at": now}
        if job.operations.exclude(torque_nm=None).exists():
            changes["recheck_due_on"] = timezone.localdate(now) + RECHECK_AFTER
        return move(
            job_id=job_id,
            to=State.HANDED_OVER,
            by=by,
            why=why,
            version=version,
            changes=changes,
            data={"warnings": warnings} if warnings else {},
            mail="handed_over",
        )


def recheck(*, job_id: int, by: By, note: str) -> bool:
    """Record that the wheel fasteners were checked again after handover; no more reminders then."""
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, RECHECKERS, _("Recording the recheck"))
        if job.recheck_due_on is None:
            return False
        if not note.strip():
            raise UnmetError(_("Say what was found."), field="why")
        job.recheck_due_on = None
        job.version += 1
        job.save(update_fields=["recheck_due_on", "version"])
        record(job, who, "job.rechecked", why=note.strip())
    return True


def hold(
    *, job_id: int, by: By, reason: str = "", said: Kept | None = None, version: int | None = None
) -> bool:
    """Hold the job up for a reason, such as parts that are short; the state stays.

    ``reason`` is what a person typed; the program gives ``said``, a sentence of ``said.SENTENCES``.
    Raises ``UnmetError`` with neither: that would lift a hold; and ``StaleError``, so that nobody's reason
    takes the place of one they have not read.
    """
    if not reason.strip() and not said:
        raise UnmetError(_("Say what it is waiting for."), "why")
    return _set_hold(job_id, actor(by), "job.held", reason.strip(), said or {}, version)


def release(*, job_id: int, by: By, version: int | None = None) -> bool:
    """Nothing holds the job up any more; a hold that the asking page did not show is not lifted."""
    return _set_hold(job_id, actor(by), "job.released", "", {}, version)


def _set_hold(job_id: int, who: Actor, action: str, reason: str, said: Kept, version: int | None) -> bool:
    with transaction.atomic():
        job = locked(job_id)
        if who.roles == {CUSTOMER} or not who.roles:
            raise NotAllowedError(_("Holding a job up is for the workshop."))
        if job.state in CLOSED:
            if who.roles == {SYSTEM}:
                return False
            raise WrongStateError(
                _("%(number)s is “%(state)s”: nothing is held up any more.")
                % {"number": job.number, "state": State(job.state).label}
            )
        hold = (reason, said.get("id", ""), said.get("figures", {}))
        if (job.on_hold_reason, job.hold_id, job.hold_figures) == hold:
            return False
        check_version(job, version)
        lifted = job.hold_id
        job.on_hold_reason, job.hold_id, job.hold_figures = hold
        job.version += 1
        job.save(update_fields=["on_hold_reason", "hold_id", "hold_figures", "held", "version"])
        record(job, who, action, why=reason, said=said)
        if not job.is_held:
            job_released.send(type(job), job=job, hold_id=lifted)
    return True


def renew_link(*, job_id: int, by: By, version: int | None = None) -> bool:
    """Give the customer a new private link; the old one stops working at once.

    ``version`` keeps a second press from doing away with the link that the first has just mailed.
    """
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, frozenset({REVIEWER, MANAGER, SYSTEM}), _("Renewing a customer’s link"))
        check_version(job, version)
        job.renew_link()
        job.version += 1
        job.save(update_fields=[*LINK_FIELDS, "version"])
        promise_mail(job, "new_link", record(job, who, "job.link_renewed").pk)
    return True
