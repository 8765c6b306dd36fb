"""What staff do with a request: answer, call, decline, take up, enter the vehicle, tell; and what is kept."""

from __future__ import annotations

import io
import json
import zipfile
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone

from configurator.catalogue.snapshot import Catalogue
from configurator.models import Generation, OutboxEntry, Spec
from shop.models import News, RequestEntry, RequestMail, RequestPhoto, VehicleRequest
from shop.privacy.exporting import export
from shop.privacy.finding import kept_about
from shop.privacy.forgetting import forget, purge
from shop.stuck import selectors as stuck
from shop.wanted import selectors, service
from tests.shop import factories
from tests.shop.vehicles.test_pages import NEW

from .test_asking import NOTE, asked, jpeg, to

pytestmark = pytest.mark.django_db(transaction=True)
State = VehicleRequest.State
IDA = "ida@customer.example"
GERMAN = {"HTTP_ACCEPT_LANGUAGE": "de"}


@pytest.fixture
def row(demo_catalogue: Catalogue) -> VehicleRequest:
    return asked(Client(), photos=[jpeg()])


@pytest.fixture
def desk(row: VehicleRequest) -> Client:
    client = Client()
    client.force_login(factories.staff("reviewer", name="rita"))
    return client


def press(client: Client, row: VehicleRequest, do: str, **given: Any) -> Any:
    """Press a button as a browser does: with the hidden fields that the page holds."""
    form = client.get(f"/workshop/requests/{row.pk}/").context[do]
    fields = {"text": "", "seen": form["seen"].value(), "press": form["press"].value()} | given
    return client.post(
        f"/workshop/requests/{row.pk}/", {"do": do} | {f"{do}-{name}": v for name, v in fields.items()}
    )


@pytest.mark.long
def test_inbox_list_and_page_show_what_waits(desk: Client, row: VehicleRequest) -> None:
    assert "1 vehicle is asked for that is not listed" in desk.get("/workshop/").content.decode()
    assert "waits for us" in desk.get("/workshop/requests/").content.decode()
    page = desk.get(f"/workshop/requests/{row.pk}/").content.decode()
    assert NOTE["wish"] in page
    assert IDA in page
    photo = row.photos.get()
    assert desk.get(f"/workshop/requests/{row.pk}/photo/{photo.pk}/full/").status_code == 200
    assert "Asked for by customers" in desk.get("/workshop/vehicles/").content.decode()
    buyer = Client()
    buyer.force_login(factories.staff("technician"))
    assert "asked for" not in buyer.get("/workshop/").content.decode()


@pytest.mark.long
def test_an_answer_goes_out_once_and_takes_it_off_the_list(desk: Client, row: VehicleRequest) -> None:
    given = {"text": "Can you come by to be measured?", "press": "p"}
    assert press(desk, row, "answer", **given).status_code == 302
    press(desk, row, "answer", **given)
    (letter,) = [each for each in to(IDA) if "We have written" in each.body]
    assert given["text"] in letter.body
    assert f"/not-listed/{row.token}/" in letter.body
    assert selectors.waiting().count() == selectors.waiting_count() == 0
    assert selectors.open_ones().count() == 1
    assert given["text"] in Client().get(f"/not-listed/{row.token}/").content.decode()
    service.write(request_id=row.pk, text="Yes, on Monday.", press="w")
    assert selectors.waiting().count() == selectors.waiting_count() == 1
    press(desk, row, "nothing")
    assert selectors.waiting().count() == selectors.waiting_count() == 0


@pytest.mark.long
def test_of_two_at_once_the_second_reads_first_and_loses_nothing(desk: Client, row: VehicleRequest) -> None:
    form = desk.get(f"/workshop/requests/{row.pk}/").context["decline"]
    seen = form["seen"].value()
    press(desk, row, "answer", text="Gladly.")
    late = {"do": "decline", "decline-text": "Too old.", "decline-seen": seen, "decline-press": "late"}
    answer = desk.post(f"/workshop/requests/{row.pk}/", late)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "Too old." in text
    assert "Something was added" in text
    row.refresh_from_db()
    assert row.state == State.OPEN
    newest = RequestEntry.objects.latest("pk").pk
    assert f'name="decline-seen" value="{newest}"' in text
    assert desk.post(f"/workshop/requests/{row.pk}/", late | {"decline-seen": newest}).status_code == 302


def test_a_call_is_noted_for_staff_alone(desk: Client, row: VehicleRequest) -> None:
    press(desk, row, "call", text="Will send the papers.")
    assert "Will send the papers." in desk.get(f"/workshop/requests/{row.pk}/").content.decode()
    assert "Will send the papers." not in Client().get(f"/not-listed/{row.token}/").content.decode()
    assert len(to(IDA)) == 1


@pytest.mark.long
def test_a_friendly_no_and_the_way_back(desk: Client, row: VehicleRequest) -> None:
    assert press(desk, row, "decline").status_code == 422
    press(desk, row, "decline", text="We have no lift for it.")
    row.refresh_from_db()
    assert row.state == State.DECLINED
    assert "Thank you for asking us." in to(IDA)[-1].body
    assert "no lift" in to(IDA)[-1].body
    assert press(desk, row, "tell").status_code == 422
    # They write once more, and it is taken up after all.
    service.write(request_id=row.pk, text="And now?", press="n")
    press(desk, row, "take", text="We got one.")
    row.refresh_from_db()
    assert row.state == State.TAKEN
    assert "We are taking your vehicle up." in to(IDA)[-1].body


@pytest.mark.long
def test_taken_up_entered_told_and_begun(desk: Client, row: VehicleRequest) -> None:
    press(desk, row, "take")
    form = desk.get(f"/workshop/vehicles/add/?request={row.pk}")
    assert form.context["form"].initial["maker"] == "Quillon"
    assert form.context["form"]["year_from"].value() == 2017
    assert "Ida Sommer asks for" in form.content.decode()
    assert press(desk, row, "tell").status_code == 422
    entered = desk.post(f"/workshop/vehicles/add/?request={row.pk}", NEW | {"maker": "Quillon"}, **GERMAN)
    assert entered.status_code == 302, entered.context["form"].errors
    row.refresh_from_db()
    assert row.generation == Generation.objects.get(maker__name="Quillon").code
    page = desk.get(f"/workshop/requests/{row.pk}/").content.decode()
    assert "not measured on both axles yet" in page
    customer, link = Client(), f"/not-listed/{row.token}/"
    assert "Begin your build" not in customer.get(link).content.decode()
    customer.post(link, {"do": "begin"})
    assert Spec.objects.count() == 0
    press(desk, row, "tell", text="Have fun.")
    row.refresh_from_db()
    assert row.state == State.READY
    assert selectors.open_ones().count() == 0
    assert "Have fun." in to(IDA)[-1].body
    assert link in to(IDA)[-1].body
    begun = customer.post(link, {"do": "begin"})
    spec = Spec.objects.get()
    assert begun["Location"] == f"/build/{spec.token}/"
    assert spec.selection["generation"] == row.generation
    assert spec.contact["name"] == "Ida Sommer"
    assert spec.contact["notes"] == NOTE["wish"]


def test_a_vehicle_that_was_there_already_is_named_and_told_at_once(
    desk: Client, row: VehicleRequest
) -> None:
    page = f"/workshop/requests/{row.pk}/"
    assert desk.post(page, {"do": "vehicle", "generation": "nope"}).status_code == 422
    desk.post(page, {"do": "vehicle", "generation": "haldor-2"})
    desk.post(page, {"do": "vehicle", "generation": "haldor-2"})
    row.refresh_from_db()
    assert (row.state, row.generation) == (State.TAKEN, "haldor-2")
    assert RequestEntry.objects.filter(kind="vehicle").count() == 1
    # Measured as it is, it can be told of: that waits for us.
    assert selectors.waiting().get() == row
    assert selectors.waiting_count() == 1
    press(desk, row, "tell")
    assert selectors.waiting().count() == selectors.waiting_count() == 0
    row.refresh_from_db()
    assert service.can_begin(row)
    VehicleRequest.objects.update(generation="gone-since")
    link = f"/not-listed/{row.token}/"
    assert "is off it again" in Client().get(link).content.decode()
    assert Client().post(link, {"do": "begin"})["Location"] == link


@pytest.mark.long
def test_a_request_noted_for_a_caller(desk: Client, demo_catalogue: Catalogue) -> None:
    note = NOTE | {"press": "call", "email": "", "phone": "+49 221 4710 77", "name": "Bo Winter"}
    assert desk.post("/workshop/requests/new/", note | {"consent": ""}).status_code == 422
    desk.post("/workshop/requests/new/", note)
    made = VehicleRequest.objects.get(name="Bo Winter")
    assert made.noted_by is not None
    assert made.state == State.OPEN
    assert not News.objects.filter(key__startswith=f"asked:{made.pk}:").exists()
    assert press(desk, made, "answer", text="Hello").status_code == 422
    press(desk, made, "call", text="Told them to come by.")
    desk.post(f"/workshop/requests/{made.pk}/", {"do": "vehicle", "generation": "haldor-2"})
    press(desk, made, "tell")
    made.refresh_from_db()
    assert made.state == State.READY
    assert not RequestMail.objects.filter(request=made).exists()


def test_a_request_is_given_out_and_forgotten_whole(row: VehicleRequest) -> None:
    service.write(request_id=row.pk, text="My garage code is 4711.", press="w")
    archive = zipfile.ZipFile(io.BytesIO(export(kept_about("IDA@customer.example"))))
    (told,) = json.loads(archive.read("everything.json"))["vehicles_asked_for"]
    assert told["wish"] == NOTE["wish"]
    assert told["entries"][1]["text"] == "My garage code is 4711."
    assert told["photos"][0] in archive.namelist()
    assert row.token not in archive.read("everything.json").decode()
    assert row.nonce not in str(told)
    photo = row.photos.get()
    forget(email=IDA, by=factories.staff("manager"), why="asked to")
    for model in (VehicleRequest, RequestEntry, RequestMail, RequestPhoto):
        assert not model.objects.exists()
    assert not News.objects.filter(key__startswith="asked:").exists()
    assert not photo.image.storage.exists(photo.image.name)


def test_the_managers_page_finds_it_and_deletes_it(row: VehicleRequest, desk: Client) -> None:
    assert desk.post(f"/workshop/requests/{row.pk}/forget/", {"sure": "on"}).status_code == 403
    manager = Client()
    manager.force_login(factories.staff("manager"))
    assert row.vehicle in manager.post("/workshop/privacy/", {"email": IDA}).content.decode()
    manager.post(f"/workshop/requests/{row.pk}/forget/")
    assert VehicleRequest.objects.exists()
    manager.post(f"/workshop/requests/{row.pk}/forget/", {"sure": "on"})
    assert not VehicleRequest.objects.exists()


def test_what_is_over_for_long_and_what_was_never_sent_is_let_go_of(
    row: VehicleRequest, settings: Any
) -> None:
    service.draft_of("draft", "en-gb")
    VehicleRequest.objects.filter(press="draft").update(made_at=timezone.now() - timedelta(days=3))
    old = timezone.now() - timedelta(days=400)
    VehicleRequest.objects.filter(pk=row.pk).update(state_since=old)
    assert purge().vehicles == 1
    service.withdraw(row.pk)
    assert purge().vehicles == 0
    VehicleRequest.objects.filter(pk=row.pk).update(state_since=old)
    assert purge().vehicles == 1
    assert not VehicleRequest.objects.exists()


def test_its_mail_is_among_what_is_stuck(row: VehicleRequest) -> None:
    entry = OutboxEntry.objects.get(kind="request_mail")
    OutboxEntry.objects.filter(pk=entry.pk).update(state="failed")
    (found,) = [one for one in stuck.stuck() if one.entry.pk == entry.pk]
    assert IDA in found.about
    assert len(mail.outbox) >= 1
