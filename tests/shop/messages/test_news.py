"""The workshop is told what happens: at once, once a day or not, each thing once, in its language."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone

from configurator.outbox import service as outbox
from configurator.outbox.keeping import MAX_ATTEMPTS
from configurator.outbox.models import OutboxEntry
from shop.accounts.models import StaffPreference
from shop.messages import news
from shop.messages.conversation import mark_read, write_as_customer
from shop.models import BrokenPromise, Job, News
from shop.planning.signals import promise_broken
from tests.shop import factories

pytestmark = pytest.mark.django_db(transaction=True)
DESK = "desk@workshop.example"


@pytest.fixture(autouse=True)
def _workshop() -> None:
    factories.make_workshop()


def to_desk() -> list[mail.EmailMessage]:
    return [each for each in mail.outbox if each.to == [DESK]]


def break_promise(job: Job) -> BrokenPromise:
    row = BrokenPromise.objects.create(job=job, because="person", promised_ready=timezone.now())
    promise_broken.send(BrokenPromise, broken=row)
    return row


def give_up() -> None:
    entry = OutboxEntry.objects.create(
        kind="nobody keeps this", key="k", payload={}, next_attempt_at=timezone.now() - timedelta(1),
        attempts=MAX_ATTEMPTS - 1,
    )  # fmt: skip
    outbox.keep(entry.pk)


def test_a_build_that_comes_in_is_told_once_and_at_once() -> None:
    job = factories.job()
    (told,) = to_desk()
    assert told.subject == f"{job.number}: a build has come in from Ida Sommer."
    assert f"/workshop/jobs/{job.number}/" in told.body
    news.tell(kind="spec", key=f"spec:{job.pk}", job=job)
    news.send_news({"ids": list(News.objects.values_list("pk", flat=True))})
    assert len(to_desk()) == 1


def test_a_broken_date_and_a_promise_given_up_are_told() -> None:
    job = factories.job(state="booked")
    mail.outbox.clear()
    break_promise(job)
    give_up()
    dates, stuck = to_desk()
    assert "no longer keeps the dates fixed with Ida Sommer: nobody who can do it is there." in dates.body
    assert "given up: nobody keeps this" in stuck.body
    assert "/workshop/stuck/" in stuck.body


@pytest.mark.long
def test_once_a_day_tells_what_is_still_to_be_looked_at_in_one_mail() -> None:
    news.choose(when="daily", language="")
    job, taken = factories.job(), factories.job()
    Job.objects.filter(pk=taken.pk).update(state="in_review")
    write_as_customer(job_id=job.pk, text="Is red possible?", press="a")
    write_as_customer(job_id=taken.pk, text="Never mind.", press="b")
    mark_read(taken, by_customer=False)
    settled = break_promise(taken)
    BrokenPromise.objects.filter(pk=settled.pk).update(settled="holds")
    assert to_desk() == []

    assert news.promise_digest() == 2
    (told,) = to_desk()
    assert told.subject == "Workshop: 2 things to look at"
    assert "Is red possible?" in told.body
    assert taken.number not in told.body
    assert news.promise_digest() == 0
    assert len(to_desk()) == 1
    assert not News.objects.filter(told_at=None).exists()


def test_not_by_mail_is_not_by_mail_and_nothing_piles_up_for_later() -> None:
    news.choose(when="never", language="")
    job = factories.job()
    write_as_customer(job_id=job.pk, text="Hello?", press="a")
    give_up()
    news.choose(when="daily", language="")
    assert news.promise_digest() == 0
    assert to_desk() == []


def test_a_mail_of_news_that_cannot_be_sent_makes_no_news(settings: object) -> None:
    entry = OutboxEntry.objects.create(
        kind="news", key="n", payload={}, next_attempt_at=timezone.now() - timedelta(1),
        attempts=MAX_ATTEMPTS - 1,
    )  # fmt: skip
    outbox.keep(entry.pk)
    entry.refresh_from_db()
    assert entry.state == OutboxEntry.State.FAILED
    assert not News.objects.exists()


@pytest.mark.long
def test_it_is_told_in_the_language_of_the_account_or_as_chosen() -> None:
    desk = factories.staff("reviewer")
    desk.email = DESK
    desk.save()
    StaffPreference.objects.create(user=desk, language="de")
    job = factories.job()
    assert to_desk()[0].subject == f"{job.number}: Von Ida Sommer ist eine Zusammenstellung eingegangen."
    write_as_customer(job_id=job.pk, text="Hallo?", press="a")
    assert "Ida Sommer hat geschrieben." in to_desk()[1].body
    news.choose(when="at once", language="en-gb")
    job = factories.job()
    assert to_desk()[2].subject == f"{job.number}: a build has come in from Ida Sommer."


def test_the_manager_chooses_and_others_do_not() -> None:
    client = Client()
    client.force_login(factories.staff("manager"))
    page = client.get("/workshop/told/")
    assert DESK in page.text
    assert client.post("/workshop/told/", {"when": "hourly", "language": ""}).status_code == 422
    assert client.post("/workshop/told/", {"when": "daily", "language": "de"}).status_code == 302
    assert (news.setting().when, news.setting().language) == ("daily", "de")
