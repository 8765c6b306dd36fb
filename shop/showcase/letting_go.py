"""What is kept about a customer for showing: told to them, forgotten, and let go of in time."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from shop.jobs.models import Job
from shop.jobs.models_history import HistoryEntry
from shop.jobs.service import locked

from . import consent
from .models import FinishedBuild, ShowingConsent, ShownPhoto


def photos_of(job: Job) -> list[ShownPhoto]:
    """Return the photos that were chosen to be shown."""
    return list(ShownPhoto.objects.filter(build__job=job))


def texts_of(job: Job) -> dict[str, Any]:
    """Return title and text by language."""
    return FinishedBuild.objects.filter(job=job).values_list("texts", flat=True).first() or {}


def forget(job: Job) -> None:
    """Take what is shown away, and what was said about it; part of the caller's transaction."""
    consent.take_away(job)
    ShowingConsent.objects.filter(job=job).delete()
    # The one exception from a history that is only added to: who said it, and when.
    HistoryEntry._base_manager.filter(job=job, action__startswith="showing.").update(why="")


def purge(before: datetime) -> int:
    """Let go of what was prepared and not touched for long without being shown; return how many."""
    stale = FinishedBuild.objects.filter(published_at=None, changed_at__lt=before)
    return sum(_purge_one(job_id, before) for job_id in list(stale.values_list("job_id", flat=True)))


@transaction.atomic
def _purge_one(job_id: int, before: datetime) -> bool:
    job = locked(job_id)
    # Looked at again under the lock: it may have been shown this very moment.
    if not FinishedBuild.objects.filter(job=job, published_at=None, changed_at__lt=before).exists():
        return False
    consent.take_away(job)
    return True
