"""Nobody sees another customer's job, photos or address; links run out and are renewed quietly."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.db import connection
from django.db.models import F
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from configurator.models import OutboxEntry, Photo
from shop.jobs.service import renew_link
from shop.messages.delivery import as_message
from shop.models import Job, LinkRequest, OutgoingMail
from shop.tracking import actions
from tests.shop import factories
from tests.shop.tracking.conftest import own_photo, work_photo

pytestmark = pytest.mark.django_db


def test_two_customers_cannot_reach_each_others_photos(client: Client) -> None:
    mine, theirs = factories.job(), factories.job()
    photo, step = own_photo(theirs), work_photo(theirs)

    for job, status in ((theirs, 200), (mine, 404)):
        for size in ("full", "small"):
            assert client.get(f"/job/{job.token}/photo/{photo.token}/{size}/").status_code == status
        assert client.get(f"/job/{job.token}/work/{step.pk}/").status_code == status


def test_a_page_names_only_its_own_job(client: Client) -> None:
    mine, theirs = factories.job(), factories.job()
    own_photo(theirs, label="Theirs")

    text = client.get(f"/job/{mine.token}/").content.decode()

    assert mine.number in text
    assert theirs.number not in text
    assert theirs.token not in text
    assert "Theirs" not in text


def test_photos_the_workshop_did_not_choose_are_not_given_out(client: Client) -> None:
    job = factories.job()
    hidden = work_photo(job, 0, shown=False)
    shown = work_photo(job, 1)

    text = client.get(f"/job/{job.token}/").content.decode()

    assert f"/work/{shown.pk}/" in text
    assert f"/work/{hidden.pk}/" not in text
    assert client.get(f"/job/{job.token}/work/{hidden.pk}/").status_code == 404


def test_photos_are_jpeg_private_and_gone_with_the_link(client: Client) -> None:
    job = factories.job()
    address = f"/job/{job.token}/photo/{own_photo(job).token}/full/"

    answer = client.get(address)
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["Content-Disposition"] == "inline"
    assert "no-store" in answer["Cache-Control"]
    assert b"".join(answer.streaming_content).startswith(b"\xff\xd8\xff")

    Job.objects.update(token_expires_at=timezone.now())
    assert client.get(address).status_code == 410


def test_a_photo_that_is_not_ready_or_lost_is_not_found(client: Client) -> None:
    job = factories.job()
    photo = own_photo(job)
    photo.image.storage.delete(photo.image.name)
    assert client.get(f"/job/{job.token}/photo/{photo.token}/full/").status_code == 404
    Photo.objects.update(state=Photo.State.WAITING)
    assert client.get(f"/job/{job.token}/photo/{photo.token}/small/").status_code == 404


def test_no_address_gives_files_out_by_name(client: Client) -> None:
    photo = own_photo(factories.job())
    for guess in (f"/media/{photo.image.name}", f"/{photo.image.name}", f"/static/{photo.image.name}"):
        assert client.get(guess).status_code == 404


@pytest.mark.parametrize("what", ["write", "answer", "accept", "cancel"])
def test_an_expired_link_takes_nothing(client: Client, what: str) -> None:
    job = factories.job(token_expires_at=timezone.now())
    assert client.post(f"/job/{job.token}/{what}/", {}).status_code == 410
    assert client.get(f"/job/{job.token}/dates.ics").status_code == 410


def test_renewing_stops_the_old_link_at_once(client: Client) -> None:
    job = factories.job()
    old = job.token
    renew_link(job_id=job.pk, by=factories.staff("reviewer"))
    job.refresh_from_db()

    assert client.get(f"/job/{old}/").status_code == 404
    assert client.get(f"/job/{job.token}/").status_code == 200


def shown(answer: Any) -> tuple[int, str]:
    """Return an answer without what is random in every page."""
    return answer.status_code, re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", answer.content.decode())


def ask(client: Client, email: str, **extra: Any) -> Any:
    """Ask for a link for an address."""
    return client.post("/job/new-link/", {"email": email}, follow=True, **extra)


def test_asking_for_a_link_says_the_same_for_every_address(
    client: Client, django_capture_on_commit_callbacks: Any, mailoutbox: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        job = factories.job(token_expires_at=timezone.now())
    mailoutbox.clear()
    old = job.token

    with django_capture_on_commit_callbacks(execute=True):
        known = ask(client, "IDA@customer.example")
        unknown = ask(client, "nobody@customer.example")

    assert shown(known) == shown(unknown)
    job.refresh_from_db()
    assert job.token != old
    assert job.link_is_live
    (mail,) = mailoutbox
    assert job.token in mail.body
    assert mail.to == ["ida@customer.example"]


def test_a_live_link_is_mailed_and_stays(client: Client, django_capture_on_commit_callbacks: Any) -> None:
    job = factories.job()
    old = job.token
    with django_capture_on_commit_callbacks(execute=True):
        ask(client, "ida@customer.example")
    job.refresh_from_db()
    assert job.token == old
    stored = OutgoingMail.objects.get(kind="new_link")
    assert old not in stored.text
    assert old in as_message(stored).body


def promised() -> int:
    """Return how many requests were let through."""
    return OutboxEntry.objects.filter(kind="job_links").count()


@pytest.mark.long
def test_asking_is_limited_per_address_and_per_sender_and_told_alike_for_all(client: Client) -> None:
    factories.job()
    answers = [ask(client, "ida@customer.example") for _ in range(5)]
    assert [answer.status_code for answer in answers] == [200, 200, 200, 429, 429]
    assert "too often within this hour" in answers[-1].content.decode()
    assert 'value="ida@customer.example"' in answers[-1].content.decode()
    strangers = [ask(client, "nobody@customer.example") for _ in range(4)]
    assert shown(strangers[-1])[0] == 429
    assert shown(strangers[-1])[1].replace("nobody@", "ida@") == shown(answers[-1])[1]
    LinkRequest.objects.all().delete()
    OutboxEntry.objects.filter(kind="job_links").delete()
    for _ in range(5):
        ask(client, "ida@customer.example")
    assert promised() == actions.LINKS_AN_ADDRESS

    for number in range(30):
        ask(client, f"guess{number}@customer.example")
    let_through = actions.LINKS_AN_ADDRESS + actions.LINKS_A_SENDER - 5
    assert promised() == let_through
    ask(client, "other@customer.example", REMOTE_ADDR="192.0.2.9")
    assert promised() == let_through + 1


def test_who_asked_is_kept_as_digests_and_for_an_hour_only(client: Client) -> None:
    ask(client, "ida@customer.example")
    rows = LinkRequest.objects.all()
    assert len(rows) == 2
    assert all(len(row.digest) == 64 and "ida" not in row.digest for row in rows)

    LinkRequest.objects.update(hour=F("hour") - 1)
    ask(client, "ida@customer.example")
    assert LinkRequest.objects.count() == 2


def test_a_bad_address_is_told_beside_the_field(client: Client) -> None:
    answer = client.post("/job/new-link/", {"email": "ida"})
    assert answer.status_code == 400
    assert "Enter a valid email address." in answer.content.decode()
    assert 'value="ida"' in answer.content.decode()


def test_asking_does_the_same_for_known_and_unknown_addresses_before_it_answers(client: Client) -> None:
    """What tells them apart is done beside the request, so neither time nor queries can."""
    factories.job()
    with CaptureQueriesContext(connection) as known:
        client.post("/job/new-link/", {"email": "ida@customer.example"})
    with CaptureQueriesContext(connection) as unknown:
        client.post("/job/new-link/", {"email": "nobody@customer.example"}, REMOTE_ADDR="192.0.2.8")
    assert not any('shop_job"' in query["sql"] for query in known.captured_queries)
    assert abs(len(known) - len(unknown)) <= 1  # the hour's old requests are cleared once
