"""The workshop changes a build: the same selection, the same evaluation, a new frozen revision."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext as _

from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation
from configurator.builds.selection import Selection
from configurator.builds.sentences import say
from configurator.catalogue import snapshot
from configurator.pages.told import told

from .composing import composed, in_advance, in_force
from .errors import UnmetError, WrongStateError
from .models import Job
from .moving import check_role, check_version, locked
from .revising import store_revision
from .roles import By, actor
from .states import AMENDABLE, MANAGER, REVIEWER, State


def amend(*, job_id: int, selection: Selection, by: By, why: str, version: int | None = None) -> bool:
    """Make a new revision from a changed selection, judged by the catalogue of today.

    Operations, parts list and deposit request are made anew; the workshop's and the customer's yes were
    for the old revision and stay with it. The same selection again changes nothing and returns False.
    Raises NotAllowedError, WrongStateError, StaleError, or UnmetError when it cannot be built or ``why``
    is empty.
    """
    who = actor(by)
    with transaction.atomic():
        job = locked(job_id)
        check_role(who, frozenset({REVIEWER, MANAGER}), _("Changing a build"))
        if job.state not in AMENDABLE:
            raise WrongStateError(
                _("%(number)s is “%(state)s”; take it into review first.")
                % {"number": job.number, "state": State(job.state).label}
            )
        if Selection.model_validate(job.revision.selection) == selection:
            return False
        check_version(job, version)
        _check(selection, why, job)
        found = judged(job, selection)
        store_revision(job, found, who, why.strip())
    return True


def judged(job: Job, selection: Selection) -> Evaluation:
    """Return what a changed selection makes of the job with its free lines; UnmetError when it cannot be."""
    evaluation = evaluate(selection, snapshot.current())
    found = composed(evaluation, in_force(job), in_advance(job))
    if not found.sendable:
        raise UnmetError(what_stands_against(found))
    return found


def _check(selection: Selection, why: str, job: Job) -> None:
    if not why.strip():
        raise UnmetError(_("Say why: the customer reads it beside the change."), field="why")
    if selection.generation != job.revision.selection["generation"]:
        raise UnmetError(_("Another vehicle is another spec. Decline this one and start anew."))


def what_stands_against(evaluation: Evaluation) -> str:
    """Say in one text why a build cannot be offered."""
    found = [told(problem.message) for problem in evaluation.problems]
    found += [told(reason) for conflict in evaluation.conflicts for reason in conflict.reasons]
    for fit in evaluation.fits.values():
        place = told(say(fit.position))
        found += [f"{place}: {told(row.message)}" for row in fit.checks if row.verdict == "no"]
    if evaluation.price is None and not found:
        found = [_("Nothing is chosen.")]
    return " ".join(found)
