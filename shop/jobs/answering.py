"""What becomes of a proposed change: the customer's yes or no, taken back, or lapsed with the job."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.builds.evaluation import Evaluation

from .changes import AT_THE_DESK, CHANGEABLE, PROPOSERS, Stands, check_offer, offer_of
from .errors import StaleError, UnmetError
from .models import Job
from .models_history import HistoryEntry
from .models_lines import JobLine, Proposal
from .moving import check_role, locked, move, promise_mail, record
from .revising import store_revision
from .roles import THE_CUSTOMER, THE_SYSTEM, Actor, By, actor
from .states import CLOSED, State


def agree(*, proposal_id: int, by: By, said_by: str = "", words: str = "") -> bool:
    """Take the customer's yes: by their link (``by`` the customer), or by telephone from ``said_by``.

    ``words`` is what was said with it.

    Returns False when it was answered already; raises StaleError where it was withdrawn meanwhile.
    """
    with transaction.atomic():
        job, proposal, who = _open(proposal_id, by, said_by)
        if proposal.state == Stands.AGREED:
            return False
        _check_open(proposal)
        found = offer_of(proposal)
        check_offer(found)
        job.lines.filter(number__in=proposal.drops).update(state=JobLine.State.GONE)
        proposal.lines.update(state=JobLine.State.IN_FORCE)
        _follow(job, proposal, found, who, said_by.strip(), words)
    return True


def _follow(job: Job, proposal: Proposal, found: Evaluation, who: Actor, said_by: str, words: str) -> None:
    """Make what was agreed the job's revision; a vehicle that was ready goes back to the bay for it."""
    was = job.revision.evaluation.get("price") or {}
    price = found.price
    assert price is not None  # noqa: S101 - check_offer has seen to it
    # The workshop's name stands on the revision: it proposed it.
    maker = Actor(proposal.by.get_username() if proposal.by else who.name, who.roles, proposal.by)
    store_revision(
        job, found, maker, proposal.why, action="change.agreed", proposal=proposal.number, said_by=said_by,
        price_before=str(was.get("total", "")), price_after=str(price.total), currency=price.currency,
    )  # fmt: skip
    job.workshop_agreed_revision = job.customer_agreed_revision = job.agreed_revision = job.revision
    job.save(update_fields=["workshop_agreed_revision", "customer_agreed_revision", "agreed_revision"])
    _answer(proposal, Stands.AGREED, who, said_by, words)
    proposal.revision = job.revision
    proposal.save(update_fields=["revision"])
    entry = job.history.filter(action="change.agreed").last()
    assert entry is not None  # noqa: S101 - just written
    promise_mail(job, "change_agreed", entry.pk)
    if job.state == State.READY and job.operations.filter(done_at=None).exists():
        move(job_id=job.pk, to=State.IN_THE_BAY, by=THE_SYSTEM, why=proposal.why)


def refuse(*, proposal_id: int, by: By, said_by: str = "", words: str = "") -> bool:
    """Take the customer's no; the job goes on as agreed. Returns False when it was answered already."""
    with transaction.atomic():
        job, proposal, who = _open(proposal_id, by, said_by)
        if proposal.state == Stands.REFUSED:
            return False
        _check_open(proposal)
        _drop(proposal)
        _answer(proposal, Stands.REFUSED, who, said_by.strip(), words)
        record(
            job, who, "change.refused", why=words.strip(), proposal=proposal.number, said_by=said_by.strip()
        )
    return True


def withdraw(*, proposal_id: int, by: By, why: str) -> bool:
    """Take a proposal back before it was answered; the customer is told where they had been asked."""
    who = actor(by)
    with transaction.atomic():
        proposal = Proposal.objects.select_related("job").get(pk=proposal_id)
        job = locked(proposal.job_id)
        proposal.refresh_from_db()
        check_role(who, PROPOSERS, _("Withdrawing a proposal"))
        if proposal.state == Stands.WITHDRAWN:
            return False
        _check_open(proposal)
        if not why.strip():
            raise UnmetError(_("Say why: the customer reads it."), "why")
        entry = _withdraw(job, proposal, who, why.strip())
        promise_mail(job, "change_withdrawn", entry.pk)
    return True


def _withdraw(job: Job, proposal: Proposal, who: Actor, why: str) -> HistoryEntry:
    _drop(proposal)
    _answer(proposal, Stands.WITHDRAWN, who, "", why)
    return record(job, who, "change.withdrawn", why=why, proposal=proposal.number)


def when_job_moved(sender: object, job: Job, to: str, **kwargs: Any) -> None:
    """Let what was proposed lapse when the job is over or looked at anew: nothing of it is to be done."""
    if to not in CLOSED and to in CHANGEABLE:
        return
    for proposal in job.proposals.filter(state=Stands.OPEN):
        _withdraw(job, proposal, THE_SYSTEM, "")


def _open(proposal_id: int, by: By, said_by: str) -> tuple[Job, Proposal, Actor]:
    """Lock the job and read the proposal again; staff must say who gave the answer."""
    who = actor(by)
    proposal = Proposal.objects.get(pk=proposal_id)
    job = locked(proposal.job_id)
    proposal.refresh_from_db()
    proposal.job = job
    if who is not THE_CUSTOMER:
        check_role(who, AT_THE_DESK, _("Recording an answer by telephone"))
        if not said_by.strip():
            raise UnmetError(_("Say who gave the answer."), "said_by")
    return job, proposal, who


def _check_open(proposal: Proposal) -> None:
    if proposal.state != Stands.OPEN:
        raise StaleError(
            _("This has been answered or taken back since: “%(state)s”.")
            % {"state": proposal.get_state_display()}
        )


def _drop(proposal: Proposal) -> None:
    proposal.lines.update(state=JobLine.State.GONE)


def _answer(proposal: Proposal, state: str, who: Actor, said_by: str, words: str = "") -> None:
    proposal.state, proposal.answered_at, proposal.answered_by = state, timezone.now(), who.user
    proposal.said_by, proposal.answer = said_by[:120], words.strip()
    proposal.save(update_fields=["state", "answered_at", "answered_by", "said_by", "answer"])
