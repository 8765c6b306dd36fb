"""Changes to a job that both have agreed to: proposed with price and reason, and nothing done before the yes.

Extra work that is found, another build, a line that goes: each is a proposal beside the job, which goes on
as agreed meanwhile. The customer's yes, by their link or by telephone recorded as that, makes it the job's
next revision; steps, parts, money and plan follow in the same transaction.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation
from configurator.builds.selection import Selection
from configurator.builds.service import kept_form
from configurator.catalogue import snapshot

from .amend import what_stands_against
from .composing import build_of, composed, in_advance, in_force
from .entering import Written, check_lines, keep_lines, last_number, numbered
from .errors import StaleError, UnmetError, WrongStateError
from .models import HistoryEntry, Job
from .models_lines import JobLine, Proposal
from .moving import check_role, locked, move, promise_mail, record
from .photos import cleaned
from .revising import store_revision
from .roles import THE_CUSTOMER, THE_SYSTEM, Actor, By, actor
from .states import CLOSED, MANAGER, ORDER, REVIEWER, TECHNICIAN, State

CHANGEABLE = ORDER[ORDER.index(State.AGREED) : ORDER.index(State.HANDED_OVER)]
"""The states in which a job is changed by a proposal; before them it is amended in review."""
PROPOSERS = frozenset({REVIEWER, TECHNICIAN, MANAGER})
AT_THE_DESK = frozenset({REVIEWER, MANAGER})
Stands = Proposal.State


@dataclass(frozen=True)
class Wanted:
    """What is to change: lines that come, numbers of lines that go, and another selection or None."""

    add: tuple[Written, ...] = ()
    drop: tuple[int, ...] = ()
    selection: Selection | None = None


def propose(
    *, job_id: int, wanted: Wanted, why: str, by: By, press: str, photo: bytes = b"", tell: bool = True
) -> Proposal:
    """Propose a change; the customer is mailed unless ``tell`` is False (they are asked by telephone).

    ``press`` makes proposing twice one proposal. Raises NotAllowedError, WrongStateError or UnmetError.
    """
    who = actor(by)
    check_role(who, PROPOSERS if wanted.selection is None else AT_THE_DESK, _("Proposing a change"))
    with transaction.atomic():
        job = locked(job_id)
        known = Proposal.objects.filter(press=press).first()
        if known:
            return known
        _check(job, wanted, why)
        made = Proposal(
            job=job,
            number=job.proposals.count() + 1,
            why=why.strip(),
            drops=list(wanted.drop),
            press=press,
            by=who.user,
        )
        lines = numbered(wanted.add, last_number(job))
        build = _build(wanted)
        _check_offer(_offer(job, build, lines, made.drops))
        if wanted.selection is not None and build is not None:
            made.selection, made.build = wanted.selection.model_dump(mode="json"), kept_form(build)
        _keep_photo(made, photo)
        made.save()
        keep_lines(job, lines, proposal=made, state=JobLine.State.PROPOSED)
        entry = record(job, who, "change.proposed", why=made.why, proposal=made.number)
        if tell:
            promise_mail(job, "change_proposed", entry.pk)
    return made


def _check(job: Job, wanted: Wanted, why: str) -> None:
    if job.state not in CHANGEABLE:
        raise WrongStateError(
            _("%(number)s is “%(state)s”: a change is proposed once both have agreed and until the handover.")
            % {"number": job.number, "state": State(job.state).label}
        )
    if not why.strip():
        raise UnmetError(_("Say why: the customer reads it beside the change."), "why")
    check_lines(wanted.add)
    same = wanted.selection is None or wanted.selection == Selection.model_validate(job.revision.selection)
    if same and not wanted.add and not wanted.drop:
        raise UnmetError(_("Nothing is changed yet."))
    if wanted.selection is None:
        return
    if wanted.selection.generation != job.revision.selection["generation"]:
        raise UnmetError(_("Another vehicle is another spec. Decline this one and start anew."))
    if job.proposals.filter(state=Stands.OPEN).exclude(selection=None).exists():
        raise UnmetError(_("Another build is proposed already. Withdraw that first."))


def _build(wanted: Wanted) -> Evaluation | None:
    return None if wanted.selection is None else evaluate(wanted.selection, snapshot.current())


def _check_offer(found: Evaluation) -> None:
    if found.price is None or not found.sendable:
        raise UnmetError(what_stands_against(found))


def _keep_photo(made: Proposal, data: bytes) -> None:
    if not data:
        return
    clean = cleaned(data, "photo")
    made.photo.save("found.jpg", clean, save=False)


def offered_build(job: Job, wanted: Wanted) -> Evaluation:
    """Return what a change would make of the job, to be looked at; nothing is stored."""
    return _offer(job, _build(wanted), numbered(wanted.add, last_number(job)), list(wanted.drop))


def offer_of(proposal: Proposal) -> Evaluation:
    """Return what the proposal makes of the job as the job is now."""
    build = Evaluation.model_validate(proposal.build) if proposal.build else None
    return _offer(proposal.job, build, list(proposal.lines.all()), proposal.drops)


def _offer(job: Job, build: Evaluation | None, more: list[JobLine], drops: list[int]) -> Evaluation:
    lines = [line for line in in_force(job) if line.number not in drops]
    return composed(build or build_of(job), [*lines, *more], in_advance(job))


def agree(*, proposal_id: int, by: By, said_by: str = "") -> bool:
    """Take the customer's yes: by their link (``by`` the customer), or by telephone from ``said_by``.

    Returns False when it was answered already; raises StaleError where it was withdrawn meanwhile.
    """
    with transaction.atomic():
        job, proposal, who = _open(proposal_id, by, said_by)
        if proposal.state == Stands.AGREED:
            return False
        _check_open(proposal)
        found = offer_of(proposal)
        _check_offer(found)
        job.lines.filter(number__in=proposal.drops).update(state=JobLine.State.GONE)
        proposal.lines.update(state=JobLine.State.IN_FORCE)
        _follow(job, proposal, found, who, said_by.strip())
    return True


def _follow(job: Job, proposal: Proposal, found: Evaluation, who: Actor, said_by: str) -> None:
    """Make what was agreed the job's revision; a vehicle that was ready goes back to the bay for it."""
    was = job.revision.evaluation.get("price") or {}
    price = found.price
    assert price is not None  # noqa: S101 - _check_offer has seen to it
    # The workshop's name stands on the revision: it proposed it.
    maker = Actor(proposal.by.get_username() if proposal.by else who.name, who.roles, proposal.by)
    store_revision(
        job, found, maker, proposal.why, action="change.agreed", proposal=proposal.number, said_by=said_by,
        price_before=str(was.get("total", "")), price_after=str(price.total), currency=price.currency,
    )  # fmt: skip
    job.workshop_agreed_revision = job.customer_agreed_revision = job.agreed_revision = job.revision
    job.save(update_fields=["workshop_agreed_revision", "customer_agreed_revision", "agreed_revision"])
    _answer(proposal, Stands.AGREED, who, said_by)
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
