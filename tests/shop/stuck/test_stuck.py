"""What is stuck is seen by those who can do something, and tried again at their word."""

from __future__ import annotations

from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.core import mail
from django.db.models import F
from django.test import Client
from django.utils import timezone
from PIL import Image

from configurator.builds import photos
from configurator.models import OutboxEntry, Photo
from configurator.outbox.service import handles, keep, promise
from shop.models import Job, OutgoingMail
from shop.planning.models import PlanRun
from shop.planning.wishes import LOST_AFTER, ask_for_plan
from shop.stuck import selectors, service
from tests.shop import factories

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def manager(client: Client) -> Client:
    client.force_login(factories.staff("manager"))
    return client


def try_in_vain(key: str, times: int = 8) -> OutboxEntry:
    """Keep a promise again and again, until it is given up."""
    entry = OutboxEntry.objects.get(key=key)
    for _ in range(times):
        OutboxEntry.objects.filter(pk=entry.pk).update(next_attempt_at=timezone.now())
        keep(entry.pk)
    entry.refresh_from_db()
    return entry


@pytest.fixture
def broken_mail(settings: Any) -> Job:
    """A job whose confirmation could not be sent: the mail server refused eight times."""
    factories.make_workshop()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", 1, 1
    job = factories.job()
    (written,) = OutgoingMail.objects.filter(job=job, kind="confirmation")
    assert try_in_vain(f"mail:{written.pk}").state == "failed"
    return job


@pytest.mark.long
def test_a_mail_given_up_is_in_the_inbox_and_goes_when_the_server_is_back(
    broken_mail: Job, manager: Client, settings: Any
) -> None:
    inbox = manager.get("/workshop/").content.decode()
    assert "is stuck" in inbox
    page = manager.get("/workshop/stuck/").content.decode()
    assert broken_mail.number in page
    assert "ConnectionRefusedError" in page
    assert "given up" in page
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    (row,) = selectors.stuck()
    for said in ("tried again now", "done meanwhile"):
        answer = manager.post(f"/workshop/stuck/{row.entry.pk}/again/", follow=True)
        assert said in answer.content.decode()
    assert [message.to for message in mail.outbox] == [["ida@customer.example"]]
    assert OutgoingMail.objects.get(kind="confirmation").state == "sent"
    assert "is stuck" not in manager.get("/workshop/").content.decode()
    assert "Nothing is stuck" in manager.get("/workshop/stuck/").content.decode()


def test_a_photo_given_up_is_prepared_when_tried_again(monkeypatch: Any) -> None:
    job = factories.job()
    Photo.objects.all().delete()
    type(job.spec).objects.update(sent_at=None)
    out = BytesIO()
    Image.new("RGB", (64, 48)).save(out, "PNG")
    with monkeypatch.context() as patch:
        patch.setattr(photos, "process_photo", lambda *_, **__: 1 / 0)
        photo = photos.add_photo(spec_id=job.spec_id, file=BytesIO(out.getvalue()), label="Side")
        try_in_vain(f"photo:{photo.pk}")
    photo.refresh_from_db()
    assert photo.state == "refused"
    (row,) = selectors.stuck()
    assert (row.job, row.about) == (job, "Side")
    assert service.try_again(row.entry.pk)
    photo.refresh_from_db()
    assert photo.state == "ready"
    assert selectors.count() == 0


def test_what_nobody_takes_is_stuck_and_what_is_under_way_is_not() -> None:
    now = timezone.now()
    new = {"kind": "paper", "payload": {"kind": "quote", "about": 1}, "next_attempt_at": now}
    OutboxEntry.objects.create(key="fresh", **new)
    late = OutboxEntry.objects.create(key="late", **new)
    OutboxEntry.objects.filter(pk=late.pk).update(next_attempt_at=now - timedelta(minutes=11))
    vain = OutboxEntry.objects.create(key="vain", **(new | {"attempts": 3}))
    OutboxEntry.objects.filter(pk=vain.pk).update(
        made_at=now - timedelta(minutes=11), next_attempt_at=now + timedelta(minutes=8)
    )
    done = OutboxEntry.objects.create(key="done", **(new | {"state": "done"}))
    OutboxEntry.objects.filter(pk=done.pk).update(next_attempt_at=now - timedelta(days=1))
    assert {row.entry.key for row in selectors.stuck()} == {"late", "vain"}
    assert selectors.count() == 2


def test_all_is_tried_again_with_one_press(manager: Client) -> None:
    received: list[Any] = []
    handles("test")(received.append)
    for number in range(3):
        promise(kind="test", key=f"t{number}", payload={"n": number})
    received.clear()
    OutboxEntry.objects.filter(kind="test").update(state="failed", attempts=8)
    answer = manager.post("/workshop/stuck/again/", follow=True)
    assert "3 are tried again now" in answer.content.decode()
    assert [one["n"] for one in received] == [0, 1, 2]


@pytest.mark.long
def test_the_page_takes_the_same_queries_for_few_and_many(
    broken_mail: Job, django_assert_max_num_queries: Any
) -> None:
    about = {"job_id": broken_mail.pk, "kind": "quote"}
    OutboxEntry.objects.bulk_create(
        OutboxEntry(
            kind=kind, key=f"{kind}{number}", state="failed", next_attempt_at=timezone.now(),
            payload={**about, "mail_id": number, "photo_id": number, "about": number},
        )
        for kind in ("mail", "photo", "paper", "job_mail", "order_mail", "replan")
        for number in range(12)
    )  # fmt: skip
    with django_assert_max_num_queries(8):
        assert len(selectors.stuck()) == 73


def test_a_plan_whose_worker_was_killed_is_begun_again() -> None:
    """The run says that somebody is at it; the wish waits, and is met once that run counts as lost."""
    PlanRun.objects.create(pk=1, asked=1, begun=1, kept=0, begun_at=timezone.now())
    ask_for_plan()
    entry = OutboxEntry.objects.get(kind="replan")
    assert (entry.state, entry.attempts) == ("waiting", 0)
    PlanRun.objects.update(begun_at=timezone.now() - LOST_AFTER)
    OutboxEntry.objects.update(next_attempt_at=timezone.now())
    assert keep(entry.pk)
    run = PlanRun.objects.get()
    assert (run.kept, run.asked) == (2, 2)
    assert not OutboxEntry.objects.filter(kind="replan").exclude(state="done").exists()
    assert PlanRun.objects.filter(begun=F("asked")).exists()
