"""What is kept about a customer: given out whole, forgotten for good, let go of in time; the books stay."""

from __future__ import annotations

import io
import json
import zipfile
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core import serializers
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone
from PIL import Image

from configurator.models import OutboxEntry, Photo, Spec
from shop.documents.service import open_paper
from shop.jobs import bookin
from shop.jobs.service import cancel
from shop.messages.conversation import write_as_customer
from shop.models import BookIn, HistoryEntry, Job, Message, OutgoingMail, Paper, Payment
from shop.money.service import book_payment
from shop.privacy.exporting import export
from shop.privacy.finding import kept_about
from shop.privacy.forgetting import StillOpenError, forget, purge
from shop.site.backup import kept_models
from tests.shop import factories
from tests.shop.tracking.conftest import own_photo

pytestmark = pytest.mark.django_db(transaction=True)
IDA = "ida@customer.example"


@pytest.fixture
def manager() -> Any:
    return factories.staff("manager", name="anke")


@pytest.fixture
def job(manager: Any) -> Job:
    """A job with all that gathers round one: photo, message, mail, paper, payment."""
    factories.make_workshop()
    job = factories.job()
    own_photo(job)
    write_as_customer(job_id=job.pk, text="My garage code is 4711.", press="a")
    pay = {"received_on": timezone.localdate(), "method": "cash", "by": manager}
    book_payment(job_id=job.pk, amount=job.deposit_requests.get().amount, **pay)
    open_paper(kind=Paper.Kind.QUOTE, about=job)
    return job


def plain_photo(colour: str) -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(data, "JPEG")
    return data.getvalue()


def everything_as_text() -> str:
    """All rows of all our tables, as one text to search."""
    rows = (serializers.serialize("json", model._base_manager.all()) for model in kept_models())
    return "".join(rows)


def test_everything_is_given_out_and_no_key_with_it(job: Job) -> None:
    archive = zipfile.ZipFile(io.BytesIO(export(kept_about("IDA@customer.example"))))
    told = json.loads(archive.read("everything.json"))
    (one,) = told["jobs"]
    assert one["number"] == job.number
    assert [m["text"] for m in one["messages"]] == ["My garage code is 4711."]
    assert len(one["payments"]) == 1
    assert told["builds"][0]["versions"][0]["email"] == IDA
    assert {name.split("/")[0] for name in archive.namelist()} == {"everything.json", "photos", "papers"}
    assert not {"token", "share_token"} & {*one, *told["builds"][0]}


def test_how_their_vehicle_came_in_is_given_out_with_every_photo_and_mark(job: Job, manager: Any) -> None:
    Job.objects.filter(pk=job.pk).update(state="in_the_bay")
    BookIn.objects.filter(job=job).delete()
    colours = {"front": "#112233", "left": "#445566", "rear": "#778899", "right": "#aabbcc"}
    stored = {
        side: bookin.add_photo(job_id=job.pk, side=side, data=plain_photo(colour), by=manager)
        for side, colour in colours.items()
    }
    told_of_spot = {"view": "left", "square": "C4", "kind": "scratch", "note": "3 cm at the sill"}
    bookin.add_mark(job_id=job.pk, by=manager, **told_of_spot)
    readings = {"mileage_km": 43_210, "keys": 2, "locking_key": "here", "note": "Tank nearly empty."}
    bookin.complete(job_id=job.pk, readings=bookin.Readings(**readings), by=manager)
    gone = stored["right"].file
    gone.storage.delete(gone.name)

    archive = zipfile.ZipFile(io.BytesIO(export(kept_about(IDA))))
    book_in = json.loads(archive.read("everything.json"))["jobs"][0]["book_in"]
    assert {name: book_in[name] for name in readings} == readings
    assert [{name: mark[name] for name in told_of_spot} for mark in book_in["marks"]] == [told_of_spot]
    # A file that is gone from the disk is not named, and the rest comes all the same.
    assert [photo["side"] for photo in book_in["photos"]] == ["front", "left", "rear"]
    for photo in book_in["photos"]:
        with stored[photo["side"]].file.open("rb") as kept:
            assert archive.read(photo["file"]) == kept.read()
    # Who of the workshop took it in is not the customer's data, nor is where the files lie.
    assert not {"by", "file"} & {*book_in, *book_in["marks"][0]}
    assert "anke" not in json.dumps(book_in)


def test_a_vehicle_that_never_came_has_no_book_in_to_give_out(job: Job) -> None:
    BookIn.objects.filter(job=job).delete()
    archive = zipfile.ZipFile(io.BytesIO(export(kept_about(IDA))))
    assert json.loads(archive.read("everything.json"))["jobs"][0]["book_in"] == {}


@pytest.mark.long
def test_a_forgotten_customer_is_in_no_row_and_no_file_and_the_books_stay(job: Job, manager: Any) -> None:
    cancel(job_id=job.pk, by="customer", why="I moved to Sommerfeld.")
    files = [Photo.objects.get().image, Paper.objects.get(kind=Paper.Kind.QUOTE).file]
    person = job.revision
    forget(email=IDA, by=manager, why="asked by letter")

    text = everything_as_text()
    for word in (IDA, person.name, person.registration, "garage code", "Sommerfeld", job.token):
        assert word not in text, word
    assert not any(file.storage.exists(file.name) for file in files)
    assert Payment.objects.get().amount == job.deposit_requests.get().amount
    last = HistoryEntry.objects.filter(job=job).last()
    assert (last.action, last.who, last.why) == ("customer.forgotten", "anke", "asked by letter")
    assert Client().get(f"/job/{job.token}/").status_code == 404
    assert kept_about(IDA).specs == ()


def test_nobody_is_forgotten_while_a_job_is_open(job: Job, manager: Any) -> None:
    with pytest.raises(StillOpenError, match=job.number):
        forget(email=IDA, by=manager, why="asked")
    assert Message.objects.get().text == "My garage code is 4711."
    with pytest.raises(CommandError, match=job.number):
        call_command("forget_customer", IDA, why="asked")


@pytest.mark.long
def test_the_manager_looks_gives_out_and_forgets_on_a_page(job: Job, manager: Any) -> None:
    cancel(job_id=job.pk, by="customer", why="moved")
    client = Client()
    client.force_login(manager)
    page = "/workshop/privacy/"
    assert job.number in client.post(page, {"email": IDA}).content.decode()
    assert client.post(f"{page}export/", {"email": IDA})["Content-Type"] == "application/zip"
    slip = client.post(f"{page}forget/", {"email": IDA, "again": "ina@customer.example", "why": "asked"})
    assert (slip.status_code, list(slip.context["forget"].errors)) == (422, ["again"])
    assert kept_about(IDA).specs != ()
    done = client.post(f"{page}forget/", {"email": IDA, "again": IDA, "why": "asked"})
    assert (done.status_code, kept_about(IDA).specs) == (302, ())


@pytest.mark.parametrize("role", ["reviewer", "buyer", "technician"])
def test_only_the_manager_may(job: Job, role: str) -> None:
    client = Client()
    client.force_login(factories.staff(role))
    for page in ("", "export/", "forget/"):
        assert client.post(f"/workshop/privacy/{page}", {"email": IDA}).status_code == 403


def old(days: int) -> datetime:
    return timezone.now() - timedelta(days=days)


def test_what_was_kept_long_enough_goes_and_the_rest_stays(job: Job, settings: Any) -> None:
    keep = settings.RETENTION_DAYS
    stale = Spec.objects.create(selection={}, catalogue_version=1, contact={"email": "x@customer.example"})
    fresh = Spec.objects.create(selection={}, catalogue_version=1)
    photo = Photo(spec=stale, state="ready")
    photo.image.save("a.jpg", own_photo(job).image, save=True)
    Spec.objects.filter(pk__in=[stale.pk, job.spec_id]).update(changed_at=old(keep["unsent_builds"] + 1))
    Spec.objects.filter(pk=job.spec_id).update(sent_at=old(1))
    Spec.objects.filter(pk=fresh.pk).update(changed_at=old(keep["unsent_builds"] - 1))
    OutboxEntry.objects.filter(state="done").update(done_at=old(keep["promises"] - 1))
    promises = OutboxEntry.objects.count()

    assert purge().builds == 1
    assert set(Spec.objects.values_list("pk", flat=True)) == {job.spec_id, fresh.pk}
    assert not photo.image.storage.exists(photo.image.name)
    assert OutboxEntry.objects.count() == promises
    assert OutgoingMail.objects.exclude(text="").exists()

    OutboxEntry.objects.filter(state="done").update(done_at=old(keep["promises"] + 1))
    Job.objects.update(state="handed_over", state_since=old(keep["mail_text"] + 1))
    done = purge()
    assert (done.builds, done.promises > 0, done.mails > 0) == (0, True, True)
    assert not OutgoingMail.objects.filter(state="sent").exclude(text="").exists()
    again = purge()
    assert (again.mails, again.promises, again.builds) == (0, 0, 0)
