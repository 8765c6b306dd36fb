"""The checklist page: ticks, reasons, torque, photos, and bad input at its field."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(factories.staff("technician", name="timo"))
    return client


@pytest.fixture
def job():
    return factories.job(state="in_the_bay")


def post(client, job, key, **data):
    step = job.operations.get(key=key)
    return client.post(reverse("shop:bench_step", args=[job.number, step.pk]), {"do": "tick"} | data)


def test_cautions_torque_band_and_paint_are_where_the_work_is(client, job) -> None:
    body = client.get(reverse("shop:bench", args=[job.number])).content.decode()
    for text in ("Wear air-fed breathing protection.", "160 N m", "153.6 and 166.4", "gloss black", "0 of 5"):
        assert text in body, text


def test_ticking_goes_back_to_the_step(client, job) -> None:
    response = post(client, job, "book-in", note="21 400 km")
    step = job.operations.get(key="book-in")
    assert response.url.endswith(f"#step-{step.pk}")
    assert step.note == "21 400 km"


def test_out_of_order_asks_for_a_reason_and_keeps_what_was_typed(client, job) -> None:
    response = post(client, job, "wheels-off", note="left rear first")
    body = response.content.decode()
    assert response.status_code == 422
    assert "Give a reason to go on out of order." in body
    assert "left rear first" in body
    assert post(client, job, "wheels-off", reason="Front desk booked it in").status_code == 302


@pytest.mark.parametrize("readings", ["", "abc", "160 nan", "12 160", "160 " * 70, "1e999"])
def test_bad_torque_is_said_at_its_field(client, job, readings) -> None:
    response = post(client, job, "front:torque", readings=readings, reason="order")
    assert response.status_code == 422
    assert response.context["stages"]
    assert job.operations.get(key="front:torque").done_at is None


def test_torque_with_comma_and_semicolon_is_understood(client, job) -> None:
    assert post(client, job, "front:torque", readings="160,5; 159.5\n161", reason="order").status_code == 302
    assert job.operations.get(key="front:torque").torque_readings == [160.5, 159.5, 161.0]


@pytest.mark.long
def test_each_fastener_has_a_field_and_what_is_wrong_stands_at_it(client, job) -> None:
    job.operations.filter(key="front:torque").update(fastener_count=3)
    body = client.get(reverse("shop:bench", args=[job.number])).content.decode()
    assert "Torque of each of the 3 fasteners" in body
    typed = {"reading-1": "160,5", "reading-2": "12", "reading-3": "161", "reason": "order"}
    answer = post(client, job, "front:torque", **typed)
    form = next(line.form for _, lines in answer.context["stages"] for line in lines if line.form.is_bound)
    assert answer.status_code == 422
    assert list(form.errors) == ["reading-2"]
    assert 'value="160,5"' in answer.content.decode()
    assert post(client, job, "front:torque", **typed | {"reading-2": "159.5"}).status_code == 302
    assert job.operations.get(key="front:torque").torque_readings == [160.5, 159.5, 161.0]


def test_a_photo_is_kept_clean_and_shown(client, job, settings, tmp_path) -> None:
    buffer = io.BytesIO()
    Image.new("RGB", (64, 48), "#225588").save(buffer, "JPEG")
    file = SimpleUploadedFile("DSC_0001.jpg", buffer.getvalue(), "image/jpeg")
    assert post(client, job, "book-in", photo=file, photo_for_customer="on").status_code == 302
    step = job.operations.get(key="book-in")
    assert step.photo_for_customer
    assert "DSC" not in step.photo.name
    shown = client.get(reverse("shop:step_photo", args=[job.number, step.pk]))
    assert shown["Content-Type"] == "image/jpeg"


@pytest.mark.parametrize("data", [b"", b"not a picture", b"GIF89a" + b"\0" * 20])
def test_what_is_no_photo_is_refused_at_its_field(client, job, data) -> None:
    response = post(client, job, "book-in", photo=SimpleUploadedFile("x.jpg", data, "image/jpeg"))
    assert response.status_code == 422
    assert job.operations.get(key="book-in").done_at is None


@pytest.mark.parametrize("data", [{"do": "explode"}, {"do": "skip"}, {"do": "tick", "note": "x" * 900}])
def test_bad_posts_change_nothing(client, job, data) -> None:
    assert post(client, job, "book-in", **data).status_code == 422
    assert job.operations.get(key="book-in").done_at is None


def test_a_step_of_another_job_is_not_found(client, job) -> None:
    other = factories.job(state="in_the_bay").operations.first()
    response = client.post(reverse("shop:bench_step", args=[job.number, other.pk]), {"do": "tick"})
    assert response.status_code == 404


def test_a_buyer_may_look_but_not_tick(job) -> None:
    client = Client()
    client.force_login(factories.staff("buyer"))
    assert client.get(reverse("shop:bench", args=[job.number])).status_code == 200
    assert post(client, job, "book-in").status_code == 403


@pytest.mark.long
def test_queries_do_not_grow_with_the_steps(client, job, django_assert_num_queries) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    address = reverse("shop:bench", args=[job.number])
    client.get(address)
    with CaptureQueriesContext(connection) as one:
        client.get(address)
    plan = tuple(factories.step(f"step-{number}") for number in range(30))
    longer = factories.job(factories.evaluation(work=factories.work(plan)), state="in_the_bay")
    with django_assert_num_queries(len(one)):
        client.get(reverse("shop:bench", args=[longer.number]))


@pytest.mark.long
def test_what_is_typed_at_a_fastener_is_asked_and_refused_in_german(client, job) -> None:
    german = {"headers": {"accept-language": "de"}}
    address = reverse("shop:bench", args=[job.number])
    assert "Drehmoment jeder Schraube" in client.get(address, **german).text
    step = job.operations.get(key="front:torque")
    address = reverse("shop:bench_step", args=[job.number, step.pk])
    for readings, said in (("abc", "Geben Sie nur Zahlen ein"), ("1 " * 61, "mehr als sechzig Schrauben")):
        page = client.post(address, {"do": "tick", "readings": readings}, **german)
        assert page.status_code == 422
        assert said in page.text
