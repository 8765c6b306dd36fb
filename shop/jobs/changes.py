"""Changes to a job that both have agreed to: proposed with price and reason, and nothing done before the yes.

Extra work that is found, another build, a line that goes: each is a proposal beside the job, which goes on
as agreed meanwhile. What the customer answers is in ``answering``.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction
from django.utils.translation import gettext as _

from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation
from configurator.builds.selection import Selection
from configurator.builds.service import kept_form
from configurator.catalogue import snapshot

from .amend import what_stands_against
from .composing import build_of, composed, in_advance, in_force
from .entering import Written, check_lines, keep_lines, last_number, numbered
from .errors import UnmetError, WrongStateError
from .models import Job
from .models_lines import JobLine, Proposal
from .moving import check_role, check_version, locked, promise_mail, record
from .photos import cleaned
from .roles import By, actor
from .sent_before import check_same, check_same_lines
from .states import MANAGER, ORDER, REVIEWER, TECHNICIAN, State

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
    *,
    job_id: int,
    wanted: Wanted,
    why: str,
    by: By,
    press: str,
    photo: bytes = b"",
    tell: bool = True,
    version: int | None = None,
) -> Proposal:
    """Propose a change; the customer is mailed unless ``tell`` is False (they are asked by telephone).

    ``press`` makes proposing twice one proposal. ``version`` is the job's as the asking page knew it: what is
    a proposal by now may have been a change in review. Raises NotAllowedError, WrongStateError, StaleError or
    UnmetError.
    """
    who = actor(by)
    check_role(who, PROPOSERS if wanted.selection is None else AT_THE_DESK, _("Proposing a change"))
    with transaction.atomic():
        job = locked(job_id)
        if known := _made_before(job, wanted, why, press):
            return known
        check_version(job, version)
        _check(job, wanted, why)
        made = Proposal(
            job=job,
            number=job.proposals.count() + 1,
            why=why.strip(),
            drops=list(wanted.drop),
            press=press,
            by=who.user,
        )
        _keep_offer(made, wanted, photo)
        entry = record(job, who, "change.proposed", why=made.why, proposal=made.number)
        if tell:
            promise_mail(job, "change_proposed", entry.pk)
    return made


def _made_before(job: Job, wanted: Wanted, why: str, press: str) -> Proposal | None:
    """Return what this pressing has proposed before; PressUsedError where the form says something else."""
    known = Proposal.objects.filter(press=press).first()
    if known:
        check_same_lines(known, wanted.add)
        check_same((known.job_id, known.why, known.drops), (job.pk, why.strip(), list(wanted.drop)))
    return known


def _keep_offer(made: Proposal, wanted: Wanted, photo: bytes) -> None:
    """Store the proposal with its lines, its build and the photo, where the job could be done so."""
    lines = numbered(wanted.add, last_number(made.job))
    build = _build(wanted)
    check_offer(_offer(made.job, build, lines, made.drops))
    if wanted.selection is not None and build is not None:
        made.selection, made.build = wanted.selection.model_dump(mode="json"), kept_form(build)
    _keep_photo(made, photo)
    made.save()
    keep_lines(made.job, lines, proposal=made, state=JobLine.State.PROPOSED)


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


def check_offer(found: Evaluation) -> None:
    """Raise UnmetError where the job could not be done as it would be."""
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
