"""What somebody typed about a job in words of their own: emptied when its customer is forgotten.

What staff wrote down may name a person as well as the customer's own words may (a mark at the door "as
Mr Holm showed", a step left out "on her husband's word"), and nobody can read through all of it. So every
such text goes, whoever typed it. What was done, measured, marked and charged stays: figures, kinds, squares,
days, who did it. Texts that are part of the books stay with them (``money``), as do the names of vehicles,
lines and goods that the invoice tells; ``tests/shop/privacy/test_typed.py`` names every column that holds a
text, and what becomes of it.
"""

from __future__ import annotations

from django.db.models import Model

from configurator.models import OutboxEntry, SpecRevision
from shop.jobs.models import Job, JobOperation, Measurement
from shop.jobs.models_bookin import BookIn, ConditionMark
from shop.jobs.models_history import HistoryEntry
from shop.jobs.models_lines import Proposal
from shop.jobs.signals import job_forgotten
from shop.messages.delivery import key_of
from shop.messages.models import OutgoingMail
from shop.messages.models_news import News
from shop.planning.models import BrokenPromise, DateWish

FORGOTTEN = "customer.forgotten"
GONE = "–"
"""Stands where something was written, so that a step left out with a reason is still one."""
TYPED: tuple[tuple[type[Model], str, tuple[str, ...]], ...] = (
    (SpecRevision, "spec__job", ("why",)),
    (JobOperation, "job", ("reason", "note")),
    (Measurement, "job", ("note",)),
    (BookIn, "job", ("mileage_why", "photos_why", "note")),
    (ConditionMark, "book_in__job", ("note",)),
    (Proposal, "job", ("why",)),
    (DateWish, "job", ("note",)),
    (BrokenPromise, "job", ("note",)),
    # A mail server's no often repeats the address.
    (OutgoingMail, "job", ("error",)),
)
"""Model, the way from it to its job, and the fields that hold somebody's words."""


def empty(job: Job) -> None:
    """Empty them all; part of the caller's transaction, which has locked the job."""
    for model, way, fields in TYPED:
        for field in fields:
            rows = model._base_manager.filter(**{way: job.pk}).exclude(**{field: ""})
            rows.update(**{field: GONE})
    # The one exception from a history that is only added to.
    HistoryEntry._base_manager.filter(job=job).exclude(action=FORGOTTEN).update(why="")
    job.on_hold_reason = ""
    job.save(update_fields=["on_hold_reason", "held"])
    News.objects.filter(job=job).delete()
    mails = job.mails.values_list("pk", flat=True)
    OutboxEntry.objects.filter(key__in=[key_of(pk) for pk in mails]).update(last_error="")
    OutboxEntry.objects.filter(payload__job_id=job.pk).update(last_error="")
    job_forgotten.send(Job, job=job)
