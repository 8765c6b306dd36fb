"""What is going on with a job in plain words, what the customer can do and what comes after it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.utils import timezone
from django.utils.translation import gettext as _

from shop.jobs.models import Job
from shop.jobs.states import State
from shop.messages.words import day, moment


@dataclass(frozen=True)
class Now:
    """Where the job stands in plain words. ``tone`` is ok, warn, stop or info."""

    stamp: str
    tone: str
    heading: str
    text: str
    then: str


def now(job: Job, *, is_offer: bool, is_entered: bool = False, in_advance: bool = True) -> Now:
    """Return what is going on, what the customer can do and what comes after it.

    ``is_entered``: nobody sent it, staff wrote it down. ``in_advance``: there is a deposit.
    """
    if job.state == State.WAITING:
        return _waiting(is_offer, in_advance)
    if job.state == State.IN_REVIEW and is_entered:
        return _entered(in_advance)
    if not in_advance and job.state in _WITHOUT_DEPOSIT:
        return _WITHOUT_DEPOSIT[State(job.state)](job)
    return _AT[State(job.state)](job)


def _after_both(in_advance: bool) -> str:
    if in_advance:
        return _("When both of us have said yes to one version, we ask for the deposit.")
    return _("When both of us have said yes to one version, we go on; nothing is asked for in advance.")


def _waiting(is_offer: bool, in_advance: bool) -> Now:
    if is_offer:
        return Now(
            _("your turn"),
            "warn",
            _("We have changed something and need your yes"),
            _("Look at what differs below. Accept it, or write to us what you would rather have."),
            _("Once you have accepted, we ask for the deposit.")
            if in_advance
            else _("Once you have accepted, we go on; nothing is asked for in advance."),
        )
    return Now(
        _("your turn"),
        "warn",
        _("We have a question for you"),
        _("The job waits for your answer. Write it below."),
        _("With your answer we go on looking through your build."),
    )


def _sent(job: Job) -> Now:
    return Now(
        _("sent"),
        "info",
        _("Thank you, your build is with us"),
        _("Nothing is ordered and nothing is to be paid yet. A person looks through your build next."),
        _("You hear from us by mail: all is well, or what we would change. The deposit comes after that."),
    )


def _in_review(job: Job) -> Now:
    return Now(
        _("being looked at"),
        "info",
        _("We are looking through your build"),
        _("We check every part against your vehicle. If something has to change, we ask you first."),
        _after_both(in_advance=True),
    )


def _entered(in_advance: bool) -> Now:
    return Now(
        _("being looked at"),
        "info",
        _("We have written your job down"),
        _("We look through it before anything is done. If something has to change, we ask you first."),
        _after_both(in_advance),
    )


def _sent_without(job: Job) -> Now:
    return replace(_sent(job), then=_("You hear from us by mail: all is well, or what we would change."))


def _in_review_without(job: Job) -> Now:
    return replace(_in_review(job), then=_after_both(in_advance=False))


def _agreed_without(job: Job) -> Now:
    return Now(
        _("agreed"),
        "ok",
        _("We have agreed"),
        _("Nothing is asked for in advance. We are getting what your job needs."),
        _("When everything is here, we fix the dates."),
    )


def _deposit(job: Job) -> Now:
    return Now(
        _("deposit due"),
        "warn",
        _("We have agreed. Now the deposit"),
        _("Please transfer it with the reference exactly as it is printed below."),
        _("When it is in, we order the parts."),
    )


def _deposit_in(job: Job) -> Now:
    return Now(
        _("deposit in"),
        "ok",
        _("Your deposit is in"),
        _("Thank you. We are ordering what your build needs."),
        _("When every part is here, we fix the dates."),
    )


def _on_order(job: Job) -> Now:
    return Now(
        _("parts on order"),
        "info",
        _("Your parts are on order"),
        _("Nothing for you to do."),
        _("When every part is here, we fix the dates."),
    )


def _parts_in(job: Job) -> Now:
    return Now(
        _("parts in"),
        "ok",
        _("All parts are here"),
        _("We are planning the work. If some days do not suit you, tell us below."),
        _("You get the dates by mail and here, with a calendar file."),
    )


def _booked(job: Job) -> Now:
    text = _("Please bring the vehicle clean and empty, with the key of the locking bolts if it has any.")
    heading = _("The dates are fixed")
    if job.booked_start and timezone.localdate(job.booked_start) < timezone.localdate():
        heading = _("We expected you on %(day)s") % {"day": moment(job.booked_start)}
        text = _("That day has passed. Unless your vehicle is with us, call us or name other days below.")
        return Now(_("booked"), "warn", heading, text, _("We agree on another day; all else stands."))
    if job.booked_start:
        heading = _("We expect you on %(day)s") % {"day": moment(job.booked_start)}
    return Now(_("booked"), "ok", heading, text, _("We start on the day and call you when it is ready."))


def _in_the_bay(job: Job) -> Now:
    then = _("We call you when it is ready.")
    if job.promised_ready_at and job.promised_ready_at < timezone.now():
        then = _("It was to be ready on %(day)s and takes longer. We call you.")
        then %= {"day": moment(job.promised_ready_at)}
    elif job.promised_ready_at:
        then = _("As planned it is ready on %(day)s. We call you.") % {"day": moment(job.promised_ready_at)}
    return Now(
        _("in the bay"),
        "info",
        _("Your vehicle is in the bay"),
        _("We are at work. Photos appear below as we go."),
        then,
    )


def _ready(job: Job) -> Now:
    return Now(
        _("ready"),
        "ok",
        _("Your vehicle is ready"),
        _("Everything is fitted and checked. Please come and collect it: we go round it with you."),
        _("You get your papers with the torque record at the handover."),
    )


def _handed_over(job: Job) -> Now:
    then = _("Tell your insurer what was fitted.")
    text = _("Thank you for your trust.")
    if job.recheck_due_on:
        text = _(
            "Your wheels were off: have the wheel fasteners checked with a torque wrench after 50 to 100 km, "
            "at the latest on %(day)s. Come by, it takes a few minutes. Until then, stop if you hear or feel "
            "anything unusual at a wheel."
        ) % {"day": day(job.recheck_due_on)}
    return Now(_("handed over"), "ok", _("Your vehicle is yours again"), text, then)


def _declined(job: Job) -> Now:
    return Now(
        _("declined"),
        "stop",
        _("We are sorry: we cannot do this job"),
        "",
        _("If you have paid a deposit, it goes back. You can build something else at any time."),
    )


def _cancelled(job: Job) -> Now:
    return Now(
        _("called off"),
        "stop",
        _("The job has been called off"),
        "",
        _("If you have paid a deposit, we tell you what goes back and when."),
    )


_AT = {
    State.SENT: _sent,
    State.IN_REVIEW: _in_review,
    State.AGREED: _deposit,
    State.DEPOSIT_DUE: _deposit,
    State.DEPOSIT_IN: _deposit_in,
    State.PARTS_ON_ORDER: _on_order,
    State.PARTS_IN: _parts_in,
    State.BOOKED: _booked,
    State.IN_THE_BAY: _in_the_bay,
    State.READY: _ready,
    State.HANDED_OVER: _handed_over,
    State.DECLINED: _declined,
    State.CANCELLED: _cancelled,
}
_WITHOUT_DEPOSIT = {
    State.SENT: _sent_without,
    State.IN_REVIEW: _in_review_without,
    State.AGREED: _agreed_without,
    State.DEPOSIT_DUE: _agreed_without,
    State.DEPOSIT_IN: _agreed_without,
}
