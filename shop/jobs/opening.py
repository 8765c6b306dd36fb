"""A sent spec becomes a draft job, in the transaction that sends it."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from configurator.builds.tokens import new_nonce
from configurator.models import Spec, SpecRevision

from .evaluations import evaluation_of
from .finding import note_words
from .links import tracking_path
from .models import Job
from .moving import promise_mail, record
from .numbers import next_number
from .roles import THE_CUSTOMER
from .signals import job_opened
from .steps_kept import rewrite_operations

SERIES = "K"


def open_job(*, revision: SpecRevision) -> Job:
    """Return the one job of the revision's spec, made with operations, parts list and deposit request.

    Opening it twice returns the first. Sending counts as the customer's yes to this revision.
    """
    with transaction.atomic():
        spec = Spec.objects.select_for_update().get(pk=revision.spec_id)
        known = Job.objects.filter(spec=spec).first()
        if known is not None:
            return known
        evaluation = evaluation_of(revision)
        job = Job.objects.create(
            number=f"~{new_nonce()}"[:20],
            spec=spec,
            revision=revision,
            customer_agreed_revision=revision,
        )
        rewrite_operations(job, evaluation)
        job_opened.send(Job, job=job, evaluation=evaluation)
        entry = record(job, THE_CUSTOMER, "job.opened", to=job.state, revision=revision.number)
        promise_mail(job, "confirmation", entry.pk)
        # The number comes last: its counter is locked until the commit, and everybody who sends waits for it.
        job.number = next_number(SERIES)
        job.save(update_fields=["number"])
        note_words(job, evaluation)
    return job


def where_followed(sender: object, spec: Spec, **kwargs: Any) -> str:
    """Answer where a sent build is followed, while the link works."""
    job = Job.objects.filter(spec=spec).first()
    return tracking_path(job) if job and job.link_is_live else ""


def when_spec_sent(sender: object, revision: SpecRevision, **kwargs: Any) -> str:
    """Open the job of a spec that is being sent; return where the customer goes next."""
    return tracking_path(open_job(revision=revision))
