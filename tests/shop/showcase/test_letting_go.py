"""What is kept for showing: told to the customer, forgotten with them, and let go of in time."""

from __future__ import annotations

import io
import json
import zipfile
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone

from shop.models import FinishedBuild, HistoryEntry, Job, ShowingConsent
from shop.privacy.exporting import export
from shop.privacy.finding import kept_about
from shop.privacy.forgetting import forget, purge
from shop.showcase import consent, finishing

from .test_finished import addresses, shown


@pytest.mark.long
def test_given_out_forgotten_and_let_go_of(
    job: Job, mira: Any, django_capture_on_commit_callbacks: Any
) -> None:
    build = shown(job, mira)
    email = job.revision.email
    archive = zipfile.ZipFile(io.BytesIO(export(kept_about(email))))
    (told,) = json.loads(archive.read("everything.json"))["jobs"]
    assert [row["answer"] for row in told["showing_consents"]] == ["given"]
    assert told["shown_texts"]["en"]["title"] == "Teal on white"
    assert all(name in archive.namelist() for name in told["shown_photos"])
    assert len(told["shown_photos"]) == 2
    finishing.take_down(job_id=job.pk, by=mira)
    keep = settings.RETENTION_DAYS["unshown_builds"]
    stale = FinishedBuild.objects.filter(pk=build.pk)
    stale.update(changed_at=timezone.now() - timedelta(days=keep - 1))
    assert purge().shown == 0
    stale.update(changed_at=timezone.now() - timedelta(days=keep + 1))
    image = build.photos.all()[0].image
    with django_capture_on_commit_callbacks(execute=True):
        assert purge().shown == 1
    assert not image.storage.exists(image.name or "")
    consent.answer_by_staff(
        job_id=job.pk, answer="withdrawn", how="written", note="Ms Kröger's letter", by=mira
    )
    shown(job, mira)
    there = addresses(FinishedBuild.objects.get())
    forget(email=email, by=mira, why="asked")
    assert [Client().get(one).status_code for one in there] == [404] * 5
    assert not ShowingConsent.objects.exists()
    assert not HistoryEntry.objects.filter(why__contains="Kröger").exists()
