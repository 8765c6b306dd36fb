"""Photos added on the page of a sent job: bounded, named when refused, taken away again."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from django.core import mail
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from configurator.models import Photo
from shop.jobs.states import State
from shop.models import Job, News
from tests.shop import factories
from tests.shop.tracking.conftest import own_photo

pytestmark = pytest.mark.django_db


def picture(name: str = "left.jpg", colour: str = "#335577") -> SimpleUploadedFile:
    """Return an upload as a phone sends it."""
    out = BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), "image/jpeg")


def send(client: Client, job: Job, *files: SimpleUploadedFile, press: str = "one") -> Any:
    """Send photos as the form does, and follow where it leads."""
    return client.post(f"/job/{job.token}/photos/", {"photos": list(files), "press": press}, follow=True)


@pytest.mark.long
def test_photos_come_in_are_told_and_shown(client: Client, workshop: Any) -> None:
    job = factories.job(state=State.BOOKED)
    answer = send(client, job, picture(), picture("right.jpg"))
    assert "2 photos are with us." in answer.content.decode()
    assert [photo.label for photo in job.spec.photos.all()] == ["left", "right"]
    assert job.history.get(action="customer.photos_added").data["count"] == 2
    assert News.objects.get(kind="change").job == job


@pytest.mark.long
def test_the_same_form_pressed_twice_counts_once(client: Client, workshop: Any) -> None:
    job = factories.job()
    for _press in range(2):
        send(client, job, picture())
    assert job.spec.photos.count() == 1
    send(client, job, picture(), press="another")
    assert job.spec.photos.count() == 2


def test_what_is_refused_is_named_and_the_rest_kept(client: Client, workshop: Any, settings: Any) -> None:
    settings.KERBLINE_PHOTO_MAX_BYTES = 2000
    job = factories.job()
    large = SimpleUploadedFile("huge.jpg", b"x" * 2001, "image/jpeg")
    answer = send(client, job, large, picture())
    assert answer.status_code == 400
    text = answer.content.decode()
    assert "huge:" in text
    assert "1 photo is with us." in text
    assert job.spec.photos.count() == 1


def test_there_is_room_for_as_many_again_and_no_more(client: Client, workshop: Any, settings: Any) -> None:
    settings.KERBLINE_PHOTO_MAX_COUNT = 2
    job = factories.job()
    own_photo(job)
    own_photo(job)
    answer = send(client, job, *(picture(f"{n}.jpg") for n in range(3)))
    assert "No more than 4 photos, please." in answer.content.decode()
    assert job.spec.photos.count() == 4


def test_nothing_chosen_is_told_beside_the_field(client: Client, workshop: Any) -> None:
    answer = client.post(f"/job/{factories.job().token}/photos/", {})
    assert answer.status_code == 400
    assert "Choose at least one photo first." in answer.content.decode()


def test_of_a_job_called_off_none_are_taken(client: Client, workshop: Any) -> None:
    job = factories.job(state=State.CANCELLED)
    assert 'id="photos-form"' not in client.get(f"/job/{job.token}/").content.decode()
    assert "photos cannot be added any more" in send(client, job, picture()).content.decode()
    assert not job.spec.photos.exists()


@pytest.mark.long
def test_added_ones_can_go_again_and_sent_ones_stay(client: Client, workshop: Any) -> None:
    job = factories.job()
    sent = own_photo(job, label="sent")
    job.spec.sent_at = sent.made_at
    job.spec.save()
    send(client, job, picture("added.jpg"))
    added = job.spec.photos.get(label="added")

    text = client.get(f"/job/{job.token}/").content.decode()
    assert f"/photos/{added.token}/remove/" in text
    assert f"/photos/{sent.token}/remove/" not in text
    for photo in (sent, added):
        client.post(f"/job/{job.token}/photos/{photo.token}/remove/")
    assert list(Photo.objects.values_list("label", flat=True)) == ["sent"]


def test_nobody_reaches_another_jobs_photos(client: Client, workshop: Any) -> None:
    mine, other = factories.job(), factories.job()
    photo = own_photo(other)
    client.post(f"/job/{mine.token}/photos/{photo.token}/remove/")
    assert Photo.objects.filter(pk=photo.pk).exists()


def test_staff_who_look_add_nothing(client: Client, workshop: Any, reviewer: Any) -> None:
    client.force_login(reviewer)
    job = factories.job()
    assert send(client, job, picture()).status_code == 403
    assert 'id="photos-form"' not in client.get(f"/job/{job.token}/").content.decode()


@pytest.mark.long
@pytest.mark.django_db(transaction=True)
def test_the_workshop_reads_it_in_words(client: Client, workshop: Any) -> None:
    job = factories.job()
    mail.outbox.clear()
    send(client, job, picture())
    assert any("photos added by the customer" in message.body for message in mail.outbox)
