"""Dates are fixed, kept and declined as they were looked at: what was changed since is seen first."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import lxml.html
import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.jobs import service
from shop.jobs.errors import UnmetError
from shop.models import Absence, Bay, BrokenPromise, ClosedDay, DateWish, Job, Person
from shop.planning.selectors import touched_bookings
from tests.shop import factories

pytestmark = pytest.mark.django_db
WORDS = "We stay until nine."


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(factories.staff("manager", "reviewer"))
    return client


def planned(job: Job, days: int) -> datetime:
    """Have the plan give the job's steps times so many days from now."""
    start = timezone.now() + timedelta(days=days)
    times = {"planned_start": start, "planned_end": start, "planned_free": start + timedelta(hours=4)}
    job.operations.update(**times)
    return start


def forms(page: Any, inside: str) -> dict[str, str]:
    form = lxml.html.fromstring(page.text).xpath(f"//form[contains(@action, '{inside}')]")[0]
    return {name: value for name, value in form.form_values() if name != "csrfmiddlewaretoken"}


def post(client: Client, name: str, *args: Any, **data: Any) -> tuple[Any, str]:
    answer = client.post(reverse(f"shop:{name}", args=args), data)
    return answer, " ".join(str(message) for message in get_messages(answer.wsgi_request))


def test_the_dates_that_are_booked_are_on_the_page_and_no_others_are_booked(client) -> None:
    job = factories.job(state="parts_in")
    planned(job, 3)
    page = client.get(reverse("shop:job", args=[job.number]))
    assert "Planned: begins" in page.text
    (seen,) = lxml.html.fromstring(page.text).xpath("//form[@id='do-book']//input[@name='seen']/@value")
    old = {"action": "book", "version": job.version, "revision": job.revision_id, "seen": seen}
    moved = planned(job, 17)

    answer, _said = post(client, "act", job.number, **old)

    assert answer.status_code == 409
    assert "The plan has changed since you opened this page" in answer.text
    (again,) = lxml.html.fromstring(answer.text).xpath("//form[@id='do-book']//input[@name='seen']/@value")
    assert post(client, "act", job.number, **(old | {"seen": again}))[0].status_code == 302
    job.refresh_from_db()
    assert job.booked_start == moved


def test_a_day_that_has_passed_is_not_booked(client) -> None:
    job = factories.job(state="parts_in")
    planned(job, -2)
    with pytest.raises(UnmetError, match="The planned day has passed"):
        service.book(job_id=job.pk, by=factories.staff("manager", name="m"), seen="")
    assert not Job.objects.get().booked_start


def broken(job: Job, days: int) -> BrokenPromise:
    now = timezone.now()
    row, _made = BrokenPromise.objects.update_or_create(
        job=job, settled="",
        defaults={
            "because": "parts", "promised_start": now, "promised_ready": now,
            "planned_start": now + timedelta(days=days), "planned_ready": now + timedelta(days=days + 1),
        },
    )  # fmt: skip
    return row


@pytest.mark.long
def test_new_dates_are_taken_and_old_ones_kept_as_they_were_looked_at(client) -> None:
    job = factories.job(state="booked", booked_start=timezone.now(), promised_ready_at=timezone.now())
    planned(job, 3)
    broken(job, 3)
    page = client.get(reverse("shop:job_dates", args=[job.number]))
    keep, stand = forms(page, "/keep/"), forms(page, "/stand/")
    planned(job, 20)
    broken(job, 20)

    _answer, said = post(client, "dates_keep", job.number, **keep, tell="on")
    assert "The plan has changed since you opened this page" in said
    answer, _said = post(client, "dates_stand", job.number, **(stand | {"stand-why": WORDS}))
    assert answer.status_code == 409
    assert "The plan has changed since you opened this page" in answer.text
    assert forms(answer, "/stand/")["stand-why"] == WORDS
    assert BrokenPromise.objects.get().settled == ""

    page = client.get(reverse("shop:job_dates", args=[job.number]))
    assert "Fixed:" in post(client, "dates_keep", job.number, **forms(page, "/keep/"))[1]
    assert "nothing to decide any more" in post(client, "dates_keep", job.number, **keep)[1]


@pytest.mark.long
def test_days_that_the_customer_proposed_since_are_not_declined_unseen(client) -> None:
    job = factories.job(state="parts_in")
    wish = DateWish.objects.create(job=job, days=["2030-03-04"])
    no = forms(client.get(reverse("shop:job_dates", args=[job.number])), "/no/") | {"no-why": WORDS}
    wish.days = ["2030-04-08"]
    wish.save()

    answer, _said = post(client, "dates_no", job.number, **no)

    assert answer.status_code == 409
    assert "proposes other days by now" in answer.text
    assert DateWish.objects.get().answer == ""
    assert post(client, "dates_no", job.number, **(forms(answer, "/no/")))[0].status_code == 302


def test_a_day_chosen_on_an_old_page_is_looked_at_anew(client) -> None:
    job = factories.job(state="parts_in")
    form = {"date-day": "2030-03-04", "date-version": job.version + 1}
    answer, said = post(client, "dates_fix", job.number, **form)
    assert "has changed since" in said
    assert answer["Location"].endswith("?day=2030-03-04#see")


def test_a_bay_taken_out_of_use_twice_is_out_of_use(client) -> None:
    bay = Bay.objects.create(name="Bay 1", kind="bay")
    button = forms(client.get(reverse("shop:plan_setup")), "/bay/")
    post(client, "plan_change", "bay", bay.pk, **button)
    _answer, said = post(client, "plan_change", "bay", bay.pk, **button)
    bay.refresh_from_db()
    assert not bay.is_open
    assert said.endswith("Bay 1 is out of use already.")


def test_what_was_removed_before_is_no_page_that_is_not_there(client) -> None:
    lena = Person.objects.create(name="Lena")
    day = timezone.localdate()
    rows = [
        ("plan_change", "closed", ClosedDay.objects.create(day=day, name="Fair")),
        ("people_remove", "absence", Absence.objects.create(person=lena, first_day=day, last_day=day)),
    ]
    for name, kind, row in rows:
        key = row.pk
        assert [post(client, name, kind, key)[0].status_code for _ in range(2)] == [302, 302]
        assert post(client, name, kind, key)[1].endswith("It was removed before.")


def test_an_absence_names_a_vehicle_in_the_bay_whose_day_is_promised() -> None:
    promised = factories.job(state="in_the_bay", promised_ready_at=timezone.now())
    factories.job(state="in_the_bay")
    steps = Job.operations.rel.related_model.objects.all()
    steps.update(planned_start=timezone.now())
    assert touched_bookings(steps) == [promised.number]
