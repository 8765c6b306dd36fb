"""A job's next revision: frozen, with steps, parts, money and plan following in the same transaction."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from configurator.builds.evaluation import Evaluation
from configurator.builds.sending import Contact, freeze
from configurator.models import Spec, SpecRevision

from .errors import UnmetError
from .finding import note_words
from .models import Job
from .moving import record
from .roles import Actor
from .signals import job_amended
from .steps_kept import rewrite_operations


def store_revision(
    job: Job, found: Evaluation, who: Actor, why: str, *, action: str = "job.amended", **more: Any
) -> None:
    """Freeze the job's next revision and have steps, parts and money follow; the job's row is locked.

    ``action`` and ``more`` go into the history.
    """
    if found.price is None:
        raise UnmetError(_("Nothing would be left of the job. Call it off instead."))
    spec = Spec.objects.select_for_update().get(pk=job.spec_id)
    before = job.revision
    job.revision = freeze(
        spec=spec,
        evaluation=found,
        contact=contact_of(before),
        terms_version=before.terms_version,
        terms_text=before.terms_text,
        privacy_version=before.privacy_version,
        made_by=who.name,
        why=why,
    )
    job.version += 1
    job.save(update_fields=["revision", "version"])
    rewritten = rewrite_operations(job, found)
    note_words(job, found)
    data: dict[str, Any] = {"before": before.number, "after": job.revision.number}
    if rewritten.reopened:
        data["again"] = list(rewritten.reopened)
    record(job, who, action, why=why, **data, **more)
    job_amended.send(Job, job=job, evaluation=found)


def contact_of(revision: SpecRevision) -> Contact:
    """Return who sent it, as frozen."""
    names = ("name", "email", "phone", "registration", "vin", "notes")
    return Contact(**{name: getattr(revision, name) for name in names})
