"""The workshop changes a build: the same selection, the same evaluation, a new frozen revision."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext as _

from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation
from configurator.builds.selection import Selection
from configurator.builds.service import Contact, freeze
from configurator.catalogue import snapshot
from configurator.models import Spec, SpecRevision

from .errors import UnmetError, WrongStateError
from .finding import note_words
from .models import Job
from .moving import check_role, check_version, locked, record
from .opening import write_operations
from .roles import Actor, By, actor
from .signals import job_amended
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
        check_role(who, frozenset({REVIEWER, MANAGER}), "Changing a build")
        if job.state not in AMENDABLE:
            raise WrongStateError(
                _("%(number)s is “%(state)s”; take it into review first.")
                % {"number": job.number, "state": State(job.state).label}
            )
        if Selection.model_validate(job.revision.selection) == selection:
            return False
        check_version(job, version)
        _check(selection, why, job)
        evaluation = evaluate(selection, snapshot.current())
        if not evaluation.sendable:
            raise UnmetError(what_stands_against(evaluation))
        _store(job, evaluation, who, why.strip())
    return True


def _check(selection: Selection, why: str, job: Job) -> None:
    if not why.strip():
        raise UnmetError(_("Say why: the customer reads it beside the change."), field="why")
    if selection.generation != job.revision.selection["generation"]:
        raise UnmetError(_("Another vehicle is another spec. Decline this one and start anew."))


def _store(job: Job, evaluation: Evaluation, who: Actor, why: str) -> None:
    spec = Spec.objects.select_for_update().get(pk=job.spec_id)
    before = job.revision
    job.revision = freeze(
        spec=spec,
        evaluation=evaluation,
        contact=contact_of(before),
        terms_version=before.terms_version,
        terms_text=before.terms_text,
        made_by=who.name,
        why=why[:300],
    )
    job.version += 1
    job.save(update_fields=["revision", "version"])
    write_operations(job, evaluation)
    note_words(job, evaluation)
    record(job, who, "job.amended", why=why, before=before.number, after=job.revision.number)
    job_amended.send(Job, job=job, evaluation=evaluation)


def contact_of(revision: SpecRevision) -> Contact:
    """Return who sent it, as frozen."""
    names = ("name", "email", "phone", "registration", "vin", "notes")
    return Contact(**{name: getattr(revision, name) for name in names})


def what_stands_against(evaluation: Evaluation) -> str:
    """Say in one text why a build cannot be offered."""
    found = [problem.message for problem in evaluation.problems]
    found += [" ".join(conflict.reasons) for conflict in evaluation.conflicts]
    for fit in evaluation.fits.values():
        found += [f"{fit.position}: {row.message}" for row in fit.checks if row.verdict == "no"]
    if evaluation.price is None and not found:
        found = [_("Nothing is chosen.")]
    return " ".join(found)
