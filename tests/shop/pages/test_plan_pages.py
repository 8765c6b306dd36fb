"""The plan's pages by the browser's eyes: people, dates, promises, progress, the customer's proposal."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.models import Absence, BrokenPromise, ClosedDay, Job, Person, PersonHours, PlanRules
from shop.planning.booking import fix_dates, wish_for_days
from shop.planning.dates import free_dates
from shop.planning.demo import make_demo_bays
from shop.planning.service import replan
from shop.planning.wishes import ask_for_plan, current_run
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _bays():
    make_demo_bays()


@pytest.fixture
def boss():
    return factories.staff("manager")


@pytest.fixture
def client(boss) -> Client:
    client = Client()
    client.force_login(boss)
    return client


def booked(boss) -> Job:
    job = factories.job(state="parts_in")
    day = free_dates(job, timezone.now())[0].day
    fix_dates(job_id=job.pk, day=day, by=boss, tell=False)
    job.refresh_from_db()
    return job


def broken(boss) -> Job:
    job = booked(boss)
    ClosedDay.objects.create(day=timezone.localtime(job.booked_start).date(), name="Burst pipe")
    replan()
    assert BrokenPromise.objects.filter(job=job, settled="").exists()
    return job


def text(response) -> str:
    return response.content.decode()


def test_progress_is_shown_until_the_plan_is_there(client, boss) -> None:
    ask_for_plan()
    assert "The plan is being made anew" in text(client.get(reverse("shop:plan")))
    page = client.get(reverse("shop:plan_progress"))
    assert "HX-Refresh" not in page
    run = current_run()
    run.kept = run.begun = run.asked
    run.kept_at = timezone.now()
    run.save()
    assert client.get(reverse("shop:plan_progress"))["HX-Refresh"] == "true"


def test_a_closed_day_names_the_booked_jobs_it_touches(client, boss) -> None:
    job = booked(boss)
    day = timezone.localtime(job.booked_start).date()
    data = {"kind_of_row": "closed", "closed-day": day.isoformat(), "closed-name": "Fair"}
    page = client.post(reverse("shop:plan_setup"), data, follow=True)
    assert f"touches one booked job: {job.number}" in text(page)
    assert current_run().is_waiting


@pytest.mark.long
def test_a_broken_date_is_on_plan_inbox_job_and_list_with_choices(client, boss) -> None:
    job = broken(boss)
    assert "1 fixed date no longer holds" in text(client.get(reverse("shop:plan")))
    for address in (reverse("shop:inbox"), reverse("shop:job", args=[job.number])):
        assert "The plan no longer keeps the fixed dates: the workshop is closed then" in text(
            client.get(address)
        )
    listed = text(client.get(reverse("shop:promises")))
    assert job.number in listed
    assert "the workshop is closed then" in listed
    page = text(client.get(reverse("shop:job_dates", args=[job.number])))
    for choice in (
        "Take the plan’s new dates",
        "Keep the date all the same",
        "Free days",
        "Take the dates back",
    ):
        assert choice in page


@pytest.mark.long
def test_each_choice_settles_it(client, boss) -> None:
    address = {name: f"shop:dates_{name}" for name in ("keep", "stand", "fix", "back")}
    for name, data, settled in (
        ("keep", {}, "rebooked"),
        ("stand", {"stand-why": "We come in early."}, "stood by"),
        ("back", {"back-why": "No room."}, "ended"),
    ):
        job = broken(boss)
        assert client.post(reverse(address[name], args=[job.number]), data).status_code == 302
        assert BrokenPromise.objects.get(job=job).settled == settled
        ClosedDay.objects.all().delete()


@pytest.mark.long
def test_a_day_is_seen_before_it_is_fixed_and_mailed(client, boss) -> None:
    job = factories.job(state="parts_in")
    address = reverse("shop:job_dates", args=[job.number])
    day = free_dates(job, timezone.now())[1].day
    page = text(client.get(f"{address}?day={day.isoformat()}"))
    assert "This would be fixed" in page
    assert "ida@customer.example" in page
    job.refresh_from_db()
    assert job.booked_start is None
    done = client.post(
        reverse("shop:dates_fix", args=[job.number]),
        {"date-day": day.isoformat(), "date-version": job.version, "date-tell": "on"},
        follow=True,
    )
    job.refresh_from_db()
    assert timezone.localtime(job.booked_start).date() == day
    assert "The customer is mailed" in text(done)


@pytest.mark.parametrize("typed", ["nonsense", "2026-02-30", "99999-01-01"])
def test_a_day_that_is_none_is_said_at_the_field(client, typed) -> None:
    job = factories.job(state="parts_in")
    page = client.get(reverse("shop:job_dates", args=[job.number]), {"day": typed})
    assert page.status_code == 422
    assert "Enter a valid date" in text(page)


@pytest.mark.long
def test_a_missing_reason_loses_nothing_and_changes_nothing(client, boss) -> None:
    job = broken(boss)
    for name in ("stand", "back"):
        page = client.post(reverse(f"shop:dates_{name}", args=[job.number]), {f"{name}-why": " "})
        assert page.status_code == 422
        assert "This field is required" in text(page)
    job.refresh_from_db()
    assert job.state == "booked"


@pytest.mark.long
def test_people_are_entered_with_skills_hours_and_absences(client, boss) -> None:
    def add(kind: str, **data: object):
        sent = {f"{kind}-{name}": value for name, value in data.items()}
        return client.post(reverse("shop:people_add", args=[kind]), sent)

    assert add("person", name="Lena Falk", skills=["prep", "lacquer"], is_active="on").status_code == 302
    lena = Person.objects.get()
    assert lena.skills == ["prep", "lacquer"]
    today = timezone.localdate()
    assert add("absence", person=lena.pk, first_day=today.isoformat(), why="ill").status_code == 302
    assert Absence.objects.get().last_day == today
    assert add("person_hours", person=lena.pk, weekday=0, starts="08:00", ends="12:00").status_code == 302
    page = text(client.get(reverse("shop:people")))
    for shown in ("Lena Falk", "prep, lacquer", "Away: ill", "Monday 08:00 to 12:00"):
        assert shown in page
    assert add("absence", person=lena.pk, first_day="2026-03-03", last_day="2026-03-02").status_code == 422
    assert add("person_hours", person=lena.pk, weekday=0, starts="12:00", ends="08:00").status_code == 422
    assert add("person", name="Lena Falk", skills=["flying"]).status_code == 422
    assert add("moon").status_code == 404
    for kind, row in (("absence", Absence.objects.get()), ("person_hours", PersonHours.objects.get())):
        client.post(reverse("shop:people_remove", args=[kind, row.pk]))
    assert (Absence.objects.count(), PersonHours.objects.count()) == (0, 0)
    client.post(reverse("shop:person", args=[lena.pk]), {"name": "Lena Falk", "skills": []})
    lena.refresh_from_db()
    assert (lena.skills, lena.is_active) == ([], False)


def test_an_absence_of_three_days_is_shown_on_each_and_not_after(client) -> None:
    person, today = Person.objects.create(name="Lena Falk"), timezone.localdate()
    row = Absence.objects.create(
        person=person, first_day=today - timedelta(days=1), last_day=today + timedelta(days=1), why="fair"
    )
    address = reverse("shop:people")

    def away() -> list[str]:
        return [day.away for _, days in client.get(address).context["by_person"] for day in days]

    assert away() == ["fair", "fair"]
    row.last_day = today
    row.save()
    assert away() == ["fair", ""]


@pytest.mark.long
def test_a_technician_sees_their_own_list_in_time_order() -> None:
    timo = factories.staff("technician", name="timo")
    Person.objects.create(name="Timo Brandt", user=timo)
    job = factories.job(state="parts_in")
    replan()
    client = Client()
    client.force_login(timo)
    page = client.get(reverse("shop:my_list"))
    steps = [step for day in page.context["days"] for step in day.steps]
    assert [step.planned_start for step in steps] == sorted(step.planned_start for step in steps)
    assert {step.key for step in steps} <= {step.key for step in job.operations.all()}
    assert steps
    shown = text(page)
    for part in (job.number, "Ida Sommer", job.revision.registration):
        assert part in shown
    other = Client()
    other.force_login(factories.staff("buyer"))
    assert "not linked to anybody" in text(other.get(reverse("shop:my_list")))


def test_bars_name_customer_registration_and_build(client) -> None:
    job = factories.job(state="parts_in")
    replan()
    bars = client.get(reverse("shop:plan")).context["picture"].bars
    named = f"{job.number} · Ida Sommer · {job.revision.registration} · Red van: "
    assert bars
    assert all(bar.title.startswith(named) for bar in bars)


def test_only_those_who_may_fix_dates_and_set_people() -> None:
    job = factories.job(state="parts_in")
    client = Client()
    client.force_login(factories.staff("technician"))
    for address in (reverse("shop:job_dates", args=[job.number]), reverse("shop:promises")):
        assert client.get(address).status_code == 403
    assert client.post(reverse("shop:people_add", args=["person"]), {}).status_code == 403


def test_rules_of_planning_are_kept_within_bounds(client) -> None:
    address = reverse("shop:plan_setup")
    data = {"kind_of_row": "rules", "rules-minimum_notice_days": "3", "rules-move_minutes": "30"}
    assert client.post(address, data).status_code == 302
    assert client.post(address, data).status_code == 302
    assert (PlanRules.objects.get().minimum_notice_days, PlanRules.objects.get().move_minutes) == (3, 30)
    assert client.post(address, data | {"rules-move_minutes": "-5"}).status_code == 422


@pytest.mark.long
def test_the_customer_proposes_days_on_their_page(client, boss) -> None:
    job = factories.job(state="parts_in")
    customer = Client()
    page = reverse("tracking:job", args=[job.token])
    assert "Which days suit you" in text(customer.get(page))
    send = reverse("tracking:days", args=[job.token])
    soon, later = timezone.localdate(), timezone.localdate() + timedelta(days=20)
    assert "first day we can offer" in text(customer.post(send, {"days-first": soon.isoformat()}))
    sent = customer.post(send, {"days-first": later.isoformat(), "days-note": "mornings"}, follow=True)
    assert "Your days are with us" in text(sent)
    assert "You proposed:" in text(sent)
    assert "would rather come on another day" in text(client.get(reverse("shop:inbox")))
    assert "mornings" in text(client.get(reverse("shop:job_dates", args=[job.number])))
    page = client.post(
        reverse("shop:dates_no", args=[job.number]), {"no-why": "Full; the week after?"}, follow=True
    )
    assert "may propose other days" in text(page)


@pytest.mark.long
def test_a_second_answer_to_a_proposal_finds_none(client) -> None:
    job = factories.job(state="parts_in")
    wish_for_days(job_id=job.pk, days=[timezone.localdate() + timedelta(days=9)], note="")
    address = reverse("shop:dates_no", args=[job.number])
    assert client.post(address, {"no-why": ""}).status_code == 422
    assert client.post(address, {"no-why": "Full."}).status_code == 302
    late = client.post(address, {"no-why": "The lift is taken."})
    assert late.status_code == 409
    assert "The lift is taken." in late.content.decode()  # what was written is not lost
