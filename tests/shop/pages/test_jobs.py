"""The pages of jobs: what they show, what their buttons do, and what bad input gets."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.jobs import service
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def reviewer():
    return factories.staff("reviewer", name="mira")


@pytest.fixture
def client(reviewer) -> Client:
    client = Client()
    client.force_login(reviewer)
    return client


def press(client: Client, job: Job, action: str, **data):
    data = {"version": job.version, "revision": job.revision_id} | data
    return client.post(reverse("shop:act", args=[job.number]), {"action": action} | data, follow=True)


@pytest.mark.long
def test_the_inbox_puts_what_needs_this_person_first(client, reviewer) -> None:
    waiting = factories.job(state="waiting")
    new = factories.job()
    ready = factories.job(state="ready")
    page = client.get(reverse("shop:inbox"))
    assert [task.job for task in page.context["inbox"].tasks] == [ready, new]
    assert (page.context["inbox"].needing, page.context["inbox"].waiting) == (2, 1)
    page = client.get(reverse("shop:inbox"), {"show": "waiting"})
    assert [task.job for task in page.context["inbox"].tasks] == [waiting]


@pytest.mark.long
def test_a_recheck_that_is_due_comes_into_the_inbox(client) -> None:
    today = timezone.localdate()
    due = factories.job(state="handed_over", recheck_due_on=today)
    factories.job(state="handed_over", recheck_due_on=today + timedelta(days=1))
    factories.job(state="handed_over")
    assert [task.job for task in client.get(reverse("shop:inbox")).context["inbox"].tasks] == [due]


def test_an_answer_from_the_customer_comes_before_new_specs(client, reviewer) -> None:
    from shop.jobs.agreement import answer_as_customer, ask_customer

    asked = factories.job()
    service.take_into_review(job_id=asked.pk, by=reviewer)
    ask_customer(job_id=asked.pk, by=reviewer, question="Tow bar?")
    factories.job()
    answer_as_customer(job_id=asked.pk, answer="No.")
    tasks = client.get(reverse("shop:inbox")).context["inbox"].tasks
    assert tasks[0].job == asked
    assert "answered" in tasks[0].what


@pytest.mark.long
@pytest.mark.parametrize("name", ["inbox", "jobs", "plan"])
def test_lists_take_as_many_queries_for_one_row_as_for_three(name, client, django_assert_num_queries) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    factories.job(state="booked")
    client.get(reverse(f"shop:{name}"))
    with CaptureQueriesContext(
        connection,
    ) as one:
        client.get(reverse(f"shop:{name}"))
    factories.job(state="booked")
    factories.job(state="booked")
    with django_assert_num_queries(len(one)):
        client.get(reverse(f"shop:{name}"))


@pytest.mark.long
def test_numbers_take_as_many_queries_for_one_job_as_for_three(django_assert_num_queries) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    client = Client()
    client.force_login(factories.staff("manager"))
    factories.job(state="deposit_due")
    client.get(reverse("shop:numbers"))
    with CaptureQueriesContext(connection) as one:
        page = client.get(reverse("shop:numbers"))
    found = page.context["outstanding"]
    assert [(each.outstanding, each.currency) for each in found.longest] == [(300, "EUR")]
    factories.job(state="deposit_due")
    factories.job(state="deposit_due")
    with django_assert_num_queries(len(one)):
        page = client.get(reverse("shop:numbers"))
    assert page.context["outstanding"].total == 900
    # 1190.00 with 19 per cent tax is 1000.00 net; four wheels at 110.00 cost 440.00; 4.5 h of hands.
    total = page.context["margins_total"]
    assert (total.net, total.parts_cost, total.margin, total.pct) == (3000, 1320, 1680, 56)
    assert float(total.per_hour) == pytest.approx(1680 / 13.5, abs=0.01)


@pytest.mark.long
def test_a_reviewer_takes_confirms_and_the_customer_is_asked_for_the_deposit(client) -> None:
    job = factories.job()
    page = press(client, job, "take")
    assert page.redirect_chain[-1][0] == reverse("shop:review", args=[job.number])
    job.refresh_from_db()
    page = press(client, job, "confirm")
    assert page.status_code == 200
    assert "deposit due" in page.content.decode()


def test_the_second_reviewer_is_told_who_was_first(client) -> None:
    job = factories.job()
    service.take_into_review(job_id=job.pk, by=factories.staff("reviewer", name="jonas"))
    page = press(client, job, "take")
    assert "already “in review” (jonas)" in page.content.decode()
    page = press(client, job, "decline", why="We have no room before spring.")
    assert page.status_code == 409
    body = page.content.decode()
    assert "has changed since you opened this page" in body
    assert "We have no room before spring." in body  # nothing typed is lost
    assert Job.objects.get().state == "in_review"


@pytest.mark.parametrize("action", ["decline", "cancel", "hold", "ask"])
def test_a_missing_reason_is_said_at_the_field(client, action: str) -> None:
    job = factories.job(state="in_review")
    page = press(client, job, action, why="   ")
    if action == "hold":
        assert page.status_code in (200, 400)
        return
    assert page.status_code == 400
    assert "Give a reason." in page.content.decode()
    assert f'id="why-{action}"' in page.content.decode()


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"action": "explode"},
        {"action": "take", "version": "x"},
        {"action": "confirm", "revision": "-1"},
        {"action": "confirm", "revision": str(10**30)},
        {"action": "decline", "why": "x" * 3000},
        {"action": "take", "version": "99999999999999999999"},
        {"action": "hand-over"},
        {"action": "renew-link", "why": "\x00"},
    ],
)
def test_bad_presses_get_a_message_never_a_crash(client, data) -> None:
    job = factories.job()
    response = client.post(reverse("shop:act", args=[job.number]), data)
    assert response.status_code in (302, 400, 403, 409)
    job.refresh_from_db()
    assert job.state == "sent"


@pytest.mark.parametrize("query", ["q=%00", "state=nonsense", "page=abc", "page=-1", "q=" + "x" * 500])
def test_bad_searches_are_survived(client, query) -> None:
    factories.job()
    assert client.get(f"{reverse('shop:jobs')}?{query}").status_code in (200, 422)


@pytest.mark.parametrize("query", ["from=nonsense", "from=2026-13-40", "from=0001-01-01", "from=9999-12-31"])
def test_bad_days_show_today(client, query) -> None:
    assert client.get(f"{reverse('shop:plan')}?{query}").status_code == 200


def test_jobs_are_found_by_number_name_and_registration(client) -> None:
    job = factories.job()
    for words in (job.number, "ida", "SOMMER ida", "ab 12"):
        assert job.number in client.get(reverse("shop:jobs"), {"q": words}).content.decode()
    assert job.number not in client.get(reverse("shop:jobs"), {"q": "nobody"}).content.decode()


def test_the_review_page_shows_everything(client) -> None:
    unsure = factories.fit_row(verdict="measure", value=3.5, margin=0.5, tolerance=2.0)
    job = factories.job(factories.evaluation(unsure), state="in_review")
    body = client.get(reverse("shop:review", args=[job.number])).content.decode()
    for text in ("Ida Sommer", "Wheel A 8 x 18", "Room for the brake", "+0.5 mm", "1190.00", "300.00",
                 "Lacquer", "Wear air-fed breathing protection.", "To measure at the vehicle"):  # fmt: skip
        assert text in body, text


def test_a_measured_value_is_stored_and_shown(client) -> None:
    unsure = factories.fit_row(verdict="measure", value=3.5, margin=0.5, tolerance=2.0)
    job = factories.job(factories.evaluation(unsure), state="in_review")
    address = reverse("shop:measured", args=[job.number])
    page = client.post(
        address, {"key": "front-brake_clearance", "value": "4.2", "uncertainty": "0.5"}, follow=True
    )
    body = page.content.decode()
    assert "Measured 4.2 mm, margin +1.2, by mira" in body
    assert "Measured: Room for the brake, front: fits, margin +1.2 mm." in body
    verdicts = body.partition('id="fit"')[2].partition("<details")[0]
    assert "we measure first</span>" not in verdicts
    summary = client.get(reverse("shop:job", args=[job.number])).content.decode()
    assert "we measure first" not in summary


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"key": "front-brake_clearance"},
        {"key": "front-brake_clearance", "value": "abc", "uncertainty": "0.5"},
        {"key": "front-brake_clearance", "value": "nan", "uncertainty": "0.5"},
        {"key": "front-brake_clearance", "value": "1e400", "uncertainty": "0.5"},
        {"key": "front-brake_clearance", "value": "4", "uncertainty": "-1"},
        {"key": "nonsense", "value": "4", "uncertainty": "0.5"},
        {"key": "front-100%", "value": "x", "uncertainty": "0.5"},
        {"key": "%d%(x)s%s", "value": "4", "uncertainty": "0.5"},
    ],
)
def test_bad_measurements_are_said(client, data) -> None:
    unsure = factories.fit_row(verdict="measure", value=3.5, margin=0.5)
    job = factories.job(factories.evaluation(unsure), state="in_review")
    response = client.post(reverse("shop:measured", args=[job.number]), data)
    assert response.status_code in (409, 422)
    assert job.measurements.count() == 0
    if data.get("value") == "abc":
        assert 'value="abc"' in response.content.decode()


def test_two_revisions_are_compared(client) -> None:
    job = factories.job(state="in_review")
    changed = factories.evaluation(price=factories.price("1071.00", "250.00"), parts=())
    factories.revision(changed, spec=job.spec, made_by="mira", why="Without wheels.")
    page = client.get(reverse("shop:difference", args=[job.number, 1, 2]))
    rows = {(row.what, row.before, row.after) for rows in page.context["areas"].values() for row in rows}
    assert ("Total", "€1,190.00", "€1,071.00") in rows
    assert ("Wheel A 8 x 18, front and rear axle", "4\xa0×", "") in rows
    assert client.get(reverse("shop:difference", args=[job.number, 1, 9])).status_code == 404


def test_unknown_jobs_and_odd_numbers_are_not_found(client) -> None:
    for number in ("K-2026-9999", "K-1", "../../etc"):
        assert client.get(f"/workshop/jobs/{number}/").status_code == 404


def test_html_from_a_customer_is_shown_as_text(client) -> None:
    from shop.jobs.opening import open_job

    nasty = "<script>alert(1)</script>"
    job = open_job(revision=factories.revision(name=nasty, notes=nasty))
    for name in ("job", "review"):
        body = client.get(reverse(f"shop:{name}", args=[job.number])).content.decode()
        assert nasty not in body
        assert "&lt;script&gt;" in body


def test_a_jobs_tabs_and_the_inbox_are_german_for_a_german_reader(client) -> None:
    job = factories.job()
    asked = {"headers": {"accept-language": "de"}}
    body = client.get(reverse("shop:job", args=[job.number]), **asked).content.decode()
    tabs = body[body.index('class="tabs') :]
    for text in ("Termin", "Geld", "Teile", "Papiere", "Nachrichten"):
        assert f">{text}</a>" in tabs, text
    assert "reviewer" not in client.get(reverse("shop:inbox"), **asked).content.decode()
