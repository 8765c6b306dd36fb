"""Workshop and customer agree on one exact revision, or ask each other.

Sending a spec with its terms is the customer's yes to the first revision. Whatever the workshop
changes after that is a new revision, which needs the customer's yes again.
"""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext as _

from .errors import StaleError, UnmetError, WrongStateError
from .holds import nothing_says_no
from .models import Job
from .moving import check_role, check_version, locked, move, record
from .roles import THE_CUSTOMER, By, actor
from .said import say
from .service import ask_for_deposit
from .settled import to_measure
from .states import MANAGER, REVIEWER, State

REVIEWERS = frozenset({REVIEWER, MANAGER})


def ask_customer(*, job_id: int, by: By, question: str, version: int | None = None) -> bool:
    """Ask the customer something, or tell them what was changed and why; wait for their answer."""
    return move(job_id=job_id, to=State.WAITING, by=by, why=question, version=version, mail="question")


def answer_as_customer(*, job_id: int, answer: str) -> bool:
    """The customer answers without agreeing; the workshop looks again."""
    if not answer.strip():
        raise UnmetError(_("Write an answer."), field="answer")
    return move(job_id=job_id, to=State.IN_REVIEW, by=THE_CUSTOMER, why=answer)


def agree_as_workshop(
    *, job_id: int, revision_id: int, by: By, why: str = "", version: int | None = None
) -> bool:
    """Confirm one exact revision; when the customer has agreed to it too, the deposit is asked for.

    Otherwise the customer is asked. Rows still to be measured at the vehicle need ``why``: the
    reviewer says that the job is confirmed on that condition.
    """
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, REVIEWERS, _("Confirming a job"))
        if job.workshop_agreed_revision_id == revision_id and job.revision_id == revision_id:
            return False
        check_version(job, version)
        _check_agreeable(job, revision_id)
        _check_measured(job, why)
        job.workshop_agreed_revision = job.revision
        job.save(update_fields=["workshop_agreed_revision"])
        record(job, who, "job.workshop_agreed", why=why.strip(), revision=job.revision.number)
        if job.customer_agreed_revision_id == job.revision_id:
            move(job_id=job_id, to=State.AGREED, by=who, data={"revision": job.revision.number})
            ask_for_deposit(job_id=job_id)
        else:
            offer = {"said": say("please_look", revision=job.revision.number)}
            move(job_id=job_id, to=State.WAITING, by=who, why=job.revision.why, data=offer, mail="offer")
    return True


def agree_as_customer(*, job_id: int, revision_id: int) -> bool:
    """The customer says yes to one exact revision."""
    with transaction.atomic():
        job = locked(job_id)
        if job.customer_agreed_revision_id == revision_id and job.revision_id == revision_id:
            if job.state != State.WAITING or job.workshop_agreed_revision_id != revision_id:
                return False
        elif job.state != State.WAITING:
            raise WrongStateError(_("There is nothing to agree to at the moment."))
        if job.revision_id != revision_id:
            raise StaleError(
                _("The workshop has changed the build since you opened this page. Please look again.")
            )
        job.customer_agreed_revision = job.revision
        job.save(update_fields=["customer_agreed_revision"])
        record(job, THE_CUSTOMER, "job.customer_agreed", revision=job.revision.number)
        if job.workshop_agreed_revision_id == revision_id:
            move(job_id=job_id, to=State.AGREED, by=THE_CUSTOMER, data={"revision": job.revision.number})
            ask_for_deposit(job_id=job_id)
        else:
            move(job_id=job_id, to=State.IN_REVIEW, by=THE_CUSTOMER)
    return True


def _check_agreeable(job: Job, revision_id: int) -> None:
    if job.state != State.IN_REVIEW:
        raise WrongStateError(
            _("%(number)s is “%(state)s”; take it into review first.")
            % {"number": job.number, "state": State(job.state).label}
        )
    if job.revision_id != revision_id:
        raise StaleError(
            _("Revision %(number)s is newer than the one you looked at. Look again.")
            % {"number": job.revision.number}
        )


def _check_measured(job: Job, why: str) -> None:
    """A row measured as ``no`` stands against agreeing; an open one needs a word."""
    if message := nothing_says_no(job):
        raise UnmetError(message)
    waiting = sum(each.verdict != "fits" for each in to_measure(job))
    if waiting and not why.strip():
        raise UnmetError(
            _("%(n)s fit checks are not measured yet. Say on what condition you confirm.") % {"n": waiting},
            "why",
        )
