"""A vehicle that is not listed: asked for on the first page, proved by mail, followed, withdrawn."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from configurator.models import Spec
from shop.messages import news
from shop.models import News, RequestEntry, RequestMail, RequestPhoto, VehicleRequest
from shop.opening.models import SiteState
from shop.wanted import mailing, service
from tests.pictures.photos import encoded, quadrants
from tests.shop import factories

pytestmark = pytest.mark.django_db(transaction=True)
State = VehicleRequest.State
NOTE = {
    "press": "one-press", "maker": "Quillon", "model": "Marrow Estate", "year": "about 2017",
    "wish": "Black wheels, a little wider.", "name": "Ida Sommer", "email": "ida@customer.example",
    "phone": "", "consent": "on",
}  # fmt: skip


@pytest.fixture(autouse=True)
def _workshop() -> None:
    factories.make_workshop()


def jpeg(name: str = "left.jpg", width: int = 120) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, encoded(quadrants(width)), "image/jpeg")


def asked(client: Client, **changes: Any) -> VehicleRequest:
    client.post("/not-listed/", NOTE | changes)
    return VehicleRequest.objects.exclude(state=State.DRAFT).latest("pk")


def to(address: str) -> list[Any]:
    return [each for each in mail.outbox if each.to == [address]]


def test_the_first_page_leads_to_the_note(client: Client) -> None:
    assert 'href="/not-listed/"' in client.get("/").content.decode()
    assert client.get("/not-listed/").status_code == 200


def test_a_note_becomes_a_request_with_its_private_page_and_both_sides_are_told(client: Client) -> None:
    row = asked(client)
    assert (row.state, row.asks_us, row.vehicle) == (State.OPEN, True, "Quillon Marrow Estate about 2017")
    assert "Dull Workshop" in row.consent_text
    assert "365" in row.consent_text
    (received,) = to("ida@customer.example")
    assert f"/not-listed/{row.token}/" in received.body
    (told,) = to("desk@workshop.example")
    assert "Quillon Marrow Estate about 2017" in told.subject
    assert f"/workshop/requests/{row.pk}/" in told.body
    page = Client().get(f"/not-listed/{row.token}/")
    assert "Black wheels, a little wider." in page.content.decode()
    assert page["Cache-Control"] == "no-store, private"
    assert "noindex" in page["X-Robots-Tag"]
    # The stored mail holds no key, nor does any row.
    assert row.token not in RequestMail.objects.get().text + str(vars(row))


def test_sent_twice_it_is_one_request(client: Client) -> None:
    row = asked(client)
    again = client.post("/not-listed/", NOTE)
    assert again["Location"] == f"/not-listed/{row.token}/"
    assert VehicleRequest.objects.count() == 1
    assert len(to("ida@customer.example")) == 1


@pytest.mark.parametrize("missing", ["maker", "model", "wish", "name", "consent"])
def test_what_is_missing_is_told_beside_its_field_and_the_rest_stays_typed(
    client: Client, missing: str
) -> None:
    answer = client.post("/not-listed/", NOTE | {missing: ""})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert f'id="id_{missing}_error"' in text
    assert VehicleRequest.objects.count() == 0
    assert all(value in text for name, value in NOTE.items() if name not in (missing, "consent"))


def test_mail_or_telephone_is_enough_and_neither_is_not(client: Client) -> None:
    assert client.post("/not-listed/", NOTE | {"email": ""}).status_code == 422
    row = asked(client, email="", phone="+49 221 4710 99")
    assert row.state == State.OPEN
    assert to("") == []
    assert len(to("desk@workshop.example")) == 1
    assert "You gave no mail address" in client.get(f"/not-listed/{row.token}/").content.decode()


def test_photos_are_kept_through_a_mistake_and_a_refused_one_is_named(client: Client) -> None:
    bad = SimpleUploadedFile("rear.jpg", b"no photo", "image/jpeg")
    answer = client.post("/not-listed/", NOTE | {"name": "", "photos": [jpeg(), jpeg("right.jpg", 140), bad]})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "rear.jpg: " in text
    assert "Leave out left" in text
    draft = VehicleRequest.objects.get()
    assert draft.state == State.DRAFT
    assert draft.photos.count() == 2
    left, right = draft.photos.all()
    # The same photo again is the same photo; one that is crossed out goes, with its files.
    row = asked(client, photos=[jpeg("again.jpg", 140)], drop=[left.token])
    assert row.pk == draft.pk
    assert list(row.photos.all()) == [right]
    assert not left.image.storage.exists(left.image.name)
    shown = Client().get(f"/not-listed/{row.token}/photo/{right.token}/small/")
    assert shown["Content-Type"] == "image/jpeg"
    assert Client().get(f"/not-listed/{'x' * 32}/photo/{right.token}/small/").status_code == 404


def test_photos_are_bounded_in_number_and_room(client: Client, settings: Any) -> None:
    settings.KERBLINE_REQUEST_PHOTOS = 2
    photos = [jpeg(f"{n}.jpg", 100 + n) for n in range(3)]
    text = client.post("/not-listed/", NOTE | {"photos": photos}).content.decode()
    assert "No more than 2 photos, please." in text
    assert RequestPhoto.objects.count() == 2
    assert VehicleRequest.objects.get().state == State.DRAFT
    settings.KERBLINE_PHOTO_ALL_BYTES = 10
    text = client.post("/not-listed/", NOTE | {"press": "p2", "photos": [jpeg()]}).content.decode()
    assert "We have no room for more photos" in text


def test_one_address_sends_so_many_and_loses_nothing_typed(client: Client, settings: Any) -> None:
    settings.LIMITS = {"requests": "1/hour", "words": "1/hour"}
    row = asked(client)
    answer = client.post("/not-listed/", NOTE | {"press": "second"})
    text = answer.content.decode()
    assert answer.status_code == 429
    assert NOTE["wish"] in text
    assert "as many requests as we take" in text
    assert VehicleRequest.objects.count() == 1
    page = f"/not-listed/{row.token}/"
    assert client.post(page, {"do": "word", "text": "One.", "press": "a"}).status_code == 302
    answer = client.post(page, {"do": "word", "text": "Two.", "press": "b"})
    assert answer.status_code == 429
    assert "Two." in answer.content.decode()


@pytest.mark.long
def test_an_address_that_was_never_proved_gets_one_mail_that_repeats_nothing(
    client: Client, settings: Any
) -> None:
    settings.KERBLINE_CONFIRM_ADDRESS = True
    answer = client.post("/not-listed/", NOTE)
    assert answer["Location"] == "/not-listed/waiting/"
    assert "ida@customer.example" in client.get("/not-listed/waiting/").content.decode()
    row = VehicleRequest.objects.get()
    assert row.state == State.UNPROVED
    assert News.objects.count() == 0
    (question,) = mail.outbox
    for typed in ("Ida", "Quillon", "Marrow", "wheels"):
        assert typed not in question.subject + question.body + str(question.alternatives)
    link = re.search(r"http://\S+(/not-listed/\S+)", question.body)[1]  # type: ignore[index]
    other = Client()
    assert "Quillon Marrow Estate" in other.get(link).content.decode()
    row.refresh_from_db()
    assert row.state == State.UNPROVED
    other.post(link)
    other.post(link)
    row.refresh_from_db()
    assert row.state == State.OPEN
    assert len(to("ida@customer.example")) == 2
    assert RequestEntry.objects.filter(kind="sent").count() == 1
    # The browser that typed it did not open the mail: it is not shown the page, the one that did is.
    assert "Its private link is in the mail" in client.post("/not-listed/", NOTE).content.decode()
    assert row.token not in client.get("/not-listed/").content.decode()
    assert row.token in other.get("/not-listed/").content.decode()


@pytest.mark.long
def test_a_wrong_address_is_put_right_and_the_first_link_opens_nothing(client: Client, settings: Any) -> None:
    settings.KERBLINE_CONFIRM_ADDRESS = True
    client.post("/not-listed/", NOTE | {"email": "wrong@customer.example"})
    first = VehicleRequest.objects.get().token
    form = client.get("/not-listed/?change=1").content.decode()
    assert "wrong@customer.example" in form
    assert "one-press" in form
    assert NOTE["wish"] in form
    client.post("/not-listed/", NOTE)
    row = VehicleRequest.objects.get()
    assert row.email == "ida@customer.example"
    assert row.token != first
    assert Client().get(f"/not-listed/{first}/").status_code == 404
    VehicleRequest.objects.update(made_at=timezone.now() - timedelta(days=3))
    assert Client().get(f"/not-listed/{row.token}/").status_code == 410
    assert Client().post(f"/not-listed/{row.token}/").status_code == 410
    assert not Client().get("/not-listed/?change=1").context["form"].initial


def test_a_word_and_photos_are_added_once_and_told(client: Client) -> None:
    row = asked(client)
    VehicleRequest.objects.update(asks_us=False)
    page = f"/not-listed/{row.token}/"
    word = {"do": "word", "text": "It has 19 inch wheels.", "press": "w"}
    for _ in range(2):
        client.post(page, {**word, "photos": [jpeg()]})
    assert RequestEntry.objects.filter(kind="word").count() == 1
    assert row.photos.count() == 1
    row.refresh_from_db()
    assert row.asks_us
    assert "the customer has written" in to("desk@workshop.example")[-1].subject
    bad = SimpleUploadedFile("x.gif", b"GIF89a", "image/gif")
    answer = client.post(page, {"do": "word", "text": "And this.", "press": "v", "photos": [bad]})
    assert answer.status_code == 422
    assert "And this." in answer.content.decode()
    assert client.post(page, {"do": "word", "text": " ", "press": "u"}).status_code == 422


def test_withdrawing_needs_a_tick_and_ends_it(client: Client) -> None:
    row = asked(client)
    page = f"/not-listed/{row.token}/"
    assert client.post(page, {"do": "withdraw"}).status_code == 422
    for _ in range(2):
        assert client.post(page, {"do": "withdraw", "sure": "on"}).status_code == 302
    row.refresh_from_db()
    assert row.state == State.WITHDRAWN
    assert not row.asks_us
    text = client.get(page).content.decode()
    assert "You have withdrawn this request" in text
    assert "Ask anew" in text
    assert client.post(page, {"do": "word", "text": "Still?", "press": "x"}).status_code == 422


def test_staff_look_at_the_customers_page_and_press_nothing(client: Client) -> None:
    row = asked(client)
    client.force_login(factories.staff("reviewer"))
    page = f"/not-listed/{row.token}/"
    assert "to look at only" in client.get(page).content.decode()
    assert client.post(page, {"do": "withdraw", "sure": "on"}).status_code == 403


def test_a_lost_link_is_mailed_to_its_address_alone(client: Client) -> None:
    row = asked(client)
    for email in ("IDA@customer.example", "other@customer.example"):
        client.post("/job/new-link/", {"email": email})
    letters = to("ida@customer.example")
    assert len(letters) == 2
    assert f"/not-listed/{row.token}/" in letters[-1].body
    assert to("other@customer.example") == []
    service.withdraw(row.pk)
    client.post("/job/new-link/", {"email": "ida@customer.example"})
    assert len(to("ida@customer.example")) == 2


def test_a_closed_site_takes_no_notes_and_shows_those_that_came(client: Client) -> None:
    row = asked(client)
    SiteState.objects.create(opened_at=None)
    assert client.get("/not-listed/").status_code == 503
    assert client.post("/not-listed/", NOTE | {"press": "x"}).status_code == 503
    assert client.get(f"/not-listed/{row.token}/").status_code == 200


def test_the_days_mail_leaves_out_what_was_dealt_with(client: Client) -> None:
    news.choose(when="daily", language="")
    row = asked(client)
    assert news.is_open(News.objects.get())
    service.withdraw(row.pk)
    assert news.promise_digest() == 0


def test_a_mail_that_cannot_be_sent_is_shown_and_tried_again(client: Client, monkeypatch: Any) -> None:
    row = asked(client)
    mail_row = RequestMail.objects.get()
    mailing.note_failure({"mail_id": mail_row.pk}, "refused", given_up=True)
    assert RequestMail.objects.get().state == "sent"
    RequestMail.objects.update(state="failed", error="refused")
    client.force_login(factories.staff("reviewer"))
    assert "refused" in client.get(f"/workshop/requests/{row.pk}/").content.decode()
    client.post(f"/workshop/requests/{row.pk}/mails/{mail_row.pk}/again/")
    assert RequestMail.objects.get().state == "waiting"
    assert Spec.objects.count() == 0
