"""Booking in: four photos or a reason, a mileage that can be, marks by square, and the handover tells it."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

from shop.documents.content.coming_in import came_in, marks
from shop.jobs import bench, bookin
from shop.jobs.bookin import Readings
from shop.jobs.errors import NotAllowedError, UnmetError, WrongStateError
from shop.jobs.measuring import measure
from shop.models import BookIn, Job
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def tom() -> Any:
    return factories.staff("technician", name="tom")


@pytest.fixture
def job() -> Job:
    made = factories.job(state="in_the_bay")
    BookIn.objects.all().delete()
    return made


def photo() -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (64, 48), "#446688").save(data, "JPEG")
    return data.getvalue()


def readings(**changes: Any) -> Readings:
    fields: dict[str, Any] = {"mileage_km": 43_210, "keys": 2, "locking_key": "here", "photos_why": "rain"}
    return Readings(**(fields | changes))


def test_four_photos_or_a_reason(job, tom) -> None:
    with pytest.raises(UnmetError) as refused:
        bookin.complete(job_id=job.pk, readings=readings(photos_why=""), by=tom)
    assert refused.value.field == "photos_why"
    for side in ("front", "left", "rear"):
        bookin.add_photo(job_id=job.pk, side=side, data=photo(), by=tom)
    with pytest.raises(UnmetError):
        bookin.complete(job_id=job.pk, readings=readings(photos_why=" "), by=tom)
    bookin.add_photo(job_id=job.pk, side="right", data=photo(), by=tom)
    assert bookin.complete(job_id=job.pk, readings=readings(photos_why=""), by=tom)
    assert not bookin.complete(job_id=job.pk, readings=readings(photos_why=""), by=tom)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"mileage_km": None}, "mileage_km"),
        ({"mileage_km": 2_000_001}, "mileage_km"),
        ({"keys": 21}, "keys"),
        ({"locking_key": ""}, "locking_key"),
    ],
)
def test_what_is_missing_or_cannot_be_is_said_at_its_field(job, tom, changes, field) -> None:
    with pytest.raises(UnmetError) as refused:
        bookin.complete(job_id=job.pk, readings=readings(**changes), by=tom)
    assert refused.value.field == field


@pytest.mark.long
def test_a_mileage_below_the_last_is_questioned_and_kept_when_read_twice(job, tom) -> None:
    bookin.complete(job_id=job.pk, readings=readings(), by=tom)
    later = factories.job(state="in_the_bay")
    BookIn.objects.filter(job=later).delete()
    with pytest.raises(UnmetError, match="43210"):
        bookin.complete(job_id=later.pk, readings=readings(mileage_km=43_209), by=tom)
    assert bookin.complete(job_id=later.pk, readings=readings(mileage_km=43_209), by=tom, sure=True)


def test_marks_are_numbered_squares_and_stay_once_complete(job, tom) -> None:
    mark = bookin.add_mark(job_id=job.pk, view="left", square="c4", kind="scratch", note="3 cm", by=tom)
    assert (mark.number, mark.square) == (1, "C4")
    again = bookin.add_mark(job_id=job.pk, view="left", square="C4", kind="scratch", note="3 cm", by=tom)
    assert again == mark
    for wrong in ("M1", "A7", "A0", "", "AA", "4C"):
        with pytest.raises(UnmetError):
            bookin.add_mark(job_id=job.pk, view="left", square=wrong, kind="dent", by=tom)
    other = bookin.add_mark(job_id=job.pk, view="rear", square="L6", kind="dent", by=tom)
    assert bookin.remove_mark(job_id=job.pk, number=other.number, by=tom)
    bookin.complete(job_id=job.pk, readings=readings(), by=tom)
    with pytest.raises(WrongStateError):
        bookin.remove_mark(job_id=job.pk, number=1, by=tom)
    assert marks(job) == [["1", "left side, C4", "scratch, 3 cm"]]
    assert ["Mileage", "43210 km"] in came_in(job)
    assert ["Photos", "0, rain"] in came_in(job)


def test_the_first_step_waits_for_the_book_in(job, tom) -> None:
    step = job.operations.get(key="book-in")
    with pytest.raises(UnmetError, match="book-in"):
        bench.tick(job_id=job.pk, step_id=step.pk, by=tom)
    bookin.complete(job_id=job.pk, readings=readings(), by=tom)
    assert bench.tick(job_id=job.pk, step_id=step.pk, by=tom)


def test_only_those_at_the_vehicle_and_only_while_it_is_here(job, tom) -> None:
    with pytest.raises(NotAllowedError):
        bookin.complete(job_id=job.pk, readings=readings(), by=factories.staff("buyer"))
    Job.objects.filter(pk=job.pk).update(state="ready")
    with pytest.raises(WrongStateError):
        bookin.add_mark(job_id=job.pk, view="left", square="A1", kind="dent", by=tom)


def test_the_page_takes_a_tap_and_a_square_by_letter_and_number(job, tom) -> None:
    client = Client()
    client.force_login(tom)
    where = reverse("shop:book_in_mark", args=[job.number])
    client.post(where, {"view": "front", "kind": "chip", "square": "B2"})
    client.post(where, {"view": "front", "kind": "chip", "column": "B", "row": "3"})
    assert list(job.book_in.marks.values_list("square", flat=True)) == ["B2", "B3"]
    page = client.get(reverse("shop:book_in", args=[job.number]) + "?view=front").content.decode()
    assert page.count('class="is-marked"') == 2
    done = reverse("shop:book_in_complete", args=[job.number])
    refused = client.post(
        done, {"mileage_km": "9999999", "keys": "1", "locking_key": "none", "photos_why": "x"}
    )
    assert refused.status_code == 400
    assert "9999999" in refused.content.decode()
    assert 'name="sure"' in refused.content.decode()


@pytest.mark.parametrize(("value", "uncertainty"), [(36_000, 0.5), (5, 36), (200, 0.5)])
def test_a_measured_value_that_cannot_be_is_questioned_before_it_is_kept(tom, value, uncertainty) -> None:
    found = factories.evaluation(factories.fit_row(verdict="measure", margin=2.0, tolerance=3.0))
    job = factories.job(found, state="in_the_bay")
    common = {"job_id": job.pk, "axle": "front", "check_id": "brake_clearance", "by": tom}
    with pytest.raises(UnmetError) as refused:
        measure(**common, value=value, uncertainty=uncertainty)
    assert refused.value.field == "value"
    assert not job.measurements.exists()
    assert measure(**common, value=value, uncertainty=uncertainty, sure=True).value == value
