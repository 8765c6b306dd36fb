"""Many send at once: whoever is put off finds the job promised, and its page says so until it is there."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.test import Client

from configurator.models import OutboxEntry, SpecRevision
from configurator.outbox.service import keep
from shop.jobs import opening
from shop.models import Job
from shop.privacy.forgetting import StillOpenError, forget
from tests.pages.conftest import CONTACT, Visitor

LOOKS_AGAIN = {"HX-Request": "true", "HX-Target": "being-opened"}


@pytest.fixture
def visitor(client: Client, demo_catalogue: object) -> Visitor:
    return Visitor(client)


@pytest.fixture
def put_off(visitor: Visitor) -> Iterator[str]:
    """The address that a customer gets who sends while another one's job is being opened."""
    with opening.turn() as first:
        assert first
        yield visitor.send()["Location"]


def the_promise() -> OutboxEntry:
    return OutboxEntry.objects.get(kind=opening.OPENING)


@pytest.mark.long
def test_the_page_says_that_the_build_arrived_until_its_job_is_there(visitor: Visitor, put_off: str) -> None:
    assert SpecRevision.objects.get().name == CONTACT["name"]
    assert not Job.objects.exists()
    page = visitor.client.get(put_off)
    assert page.status_code == 200
    assert "Your build has arrived" in page.content.decode()
    assert page["Cache-Control"] == "no-store, private"
    again = visitor.client.get(put_off, headers=LOOKS_AGAIN)
    assert "HX-Refresh" not in again.headers
    assert again.content.decode().strip().startswith('<p id="before-you" hx-swap-oob="true">')

    assert keep(the_promise().pk)

    job = Job.objects.get()
    assert put_off == f"/job/{job.token}/"
    assert visitor.client.get(put_off, headers=LOOKS_AGAIN)["HX-Refresh"] == "true"
    assert job.number in visitor.client.get(put_off).content.decode()


@pytest.mark.long
def test_who_waits_is_told_how_many_wait_before(demo_catalogue: object) -> None:
    crowd = [Visitor(Client()) for _ in range(4)]
    with opening.turn():
        pages = [one.send()["Location"] for one in crowd]
    promises = list(OutboxEntry.objects.filter(kind=opening.OPENING).order_by("pk"))

    def told(which: int, **headers: str) -> str:
        return " ".join(crowd[which].client.get(pages[which], headers=headers).content.decode().split())

    assert "No other build waits before yours." in told(0)
    assert "3 other builds wait before yours." in told(3)
    keep(promises[2].pk)  # another worker was quicker with it
    keep(promises[0].pk)
    assert "One other build waits before yours." in told(3, **LOOKS_AGAIN)
    assert "Vor Ihrem Umbau wartet noch ein anderer." in told(3, **{"Accept-Language": "de"})
    keep(promises[1].pk)
    assert "Vor Ihrem Umbau wartet kein anderer." in told(3, **{"Accept-Language": "de"})


@pytest.mark.long
def test_a_job_that_was_promised_comes_whole(visitor: Visitor, put_off: str) -> None:
    keep(the_promise().pk)
    late = Job.objects.get()
    with opening.turn():
        pass  # the crowd is over
    revision = SpecRevision.objects.get()
    assert revision.evaluation == visitor.spec.evaluation
    assert [step.key for step in late.operations.all()] == [
        step["key"] for step in revision.evaluation["work"]["steps"]
    ]
    assert late.parts.count() == len(revision.evaluation["parts"])
    assert late.deposit_requests.count() == 1
    assert OutboxEntry.objects.filter(kind="job_mail", payload__job_id=late.pk).count() == 1
    assert late.number.startswith("K-")


@pytest.mark.long
def test_kept_twice_and_pressed_twice_it_is_one_job_at_one_address(visitor: Visitor, put_off: str) -> None:
    assert visitor.post(**CONTACT, do="send")["Location"] == put_off
    assert visitor.client.get(visitor.url)["Location"] == put_off
    promise = the_promise()
    opening.open_promised_job(promise.payload)
    opening.open_promised_job(promise.payload)
    assert Job.objects.count() == SpecRevision.objects.count() == 1
    assert visitor.client.get(visitor.url)["Location"] == put_off


@pytest.mark.long
def test_to_others_the_build_is_sent_and_an_unknown_link_opens_nothing(
    visitor: Visitor, put_off: str
) -> None:
    stranger = Client()
    assert put_off not in stranger.get(visitor.url).content.decode()
    assert stranger.get("/job/" + "A" * 32 + "/").status_code == 404


@pytest.mark.long
def test_a_job_that_could_not_be_opened_is_said_to_be_with_the_workshop(
    visitor: Visitor, put_off: str
) -> None:
    OutboxEntry.objects.filter(pk=the_promise().pk).update(state=OutboxEntry.State.FAILED)
    page = visitor.client.get(put_off).content.decode()
    assert "could not be opened by itself" in page
    assert "being-opened" not in page
    # A page that is open meanwhile learns of it too.
    assert visitor.client.get(put_off, headers=LOOKS_AGAIN)["HX-Refresh"] == "true"


@pytest.mark.long
def test_what_is_being_opened_cannot_be_forgotten_yet(put_off: str) -> None:
    with pytest.raises(StillOpenError):
        forget(email=CONTACT["email"], by="system", why="asked")
    assert SpecRevision.objects.get().name == CONTACT["name"]


def test_soon_after_somebody_was_put_off_others_are_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "CROWD_S", 60.0)
    with opening.turn() as first, opening.turn() as second:
        assert first
        assert not second
    with opening.turn() as third:
        assert not third
    monkeypatch.setattr(opening, "CROWD_S", 0.0)
    with opening.turn(), opening.turn():
        pass  # put off once more, and over at once
    with opening.turn() as later:
        assert later
