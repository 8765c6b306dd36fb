"""What the database sorts into somebody's inbox, and how often it is asked."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from lxml import html

from configurator.catalogue import snapshot
from shop.jobs import service
from shop.jobs.agreement import ask_customer
from shop.jobs.inbox import PAGE, inbox
from shop.jobs.measuring import measure
from shop.jobs.states import STAFF_ROLES
from shop.models import Ledger, Message
from tests.shop import factories

pytestmark = pytest.mark.django_db
NOW = timezone.now()


def states_of(found) -> list[str]:
    return [task.job.state for task in found.tasks]


@pytest.mark.long
@pytest.mark.parametrize(
    ("role", "needing"),
    [
        ("reviewer", ["ready", "sent", "in_review", "parts_in"]),
        ("technician", ["in_the_bay", "booked"]),
        ("buyer", ["deposit_in"]),
        (
            "manager",
            ["ready", "in_the_bay", "sent", "deposit_in", "booked", "handed_over", "in_review", "parts_in"],
        ),
    ],
)
def test_each_role_is_shown_its_own(role: str, needing: list[str]) -> None:
    order = ["ready", "in_the_bay", "sent", "deposit_in", "booked", "in_review", "parts_in", "waiting",
             "deposit_due", "parts_on_order", "handed_over", "declined", "cancelled"]  # fmt: skip
    for age, state in enumerate(order):
        factories.job(state=state, state_since=NOW - timedelta(hours=20 - age), last_who="mira")
    found = inbox(factories.staff(role))
    assert states_of(found) == needing
    assert found.needing == len(needing)


def test_what_waits_longest_comes_first_and_holds_before_all() -> None:
    young = factories.job(state="ready", state_since=NOW - timedelta(hours=1))
    old = factories.job(state="ready", state_since=NOW - timedelta(hours=9))
    held = factories.job(state="parts_in", on_hold_reason="Parts short: rings.", state_since=NOW)
    assert [task.job for task in inbox(factories.staff("reviewer")).tasks] == [held, old, young]
    assert held not in [task.job for task in inbox(factories.staff("technician")).tasks]


def test_a_long_reason_is_short_in_lists_and_whole_with_its_job(client) -> None:
    words = "The painter looks at the lower edge of the left door. " * 30 + "Then ring."
    manager = factories.staff("manager")
    job = factories.job(state="parts_in")
    assert service.hold(job_id=job.pk, by=manager, reason=words)
    [task] = inbox(manager).tasks
    assert str(task.what).startswith("On hold: The painter")
    assert len(str(task.what)) < 180
    client.force_login(manager)
    for page in (f"/workshop/jobs/{job.number}/", f"/workshop/jobs/{job.number}/parts/"):
        notices = html.fromstring(client.get(page).content).find_class("notice")
        assert any(words in each.text_content() for each in notices), page


def wrote(job, **changes) -> Message:
    key = f"k{Message.objects.count()}"
    return Message.objects.create(job=job, from_customer=True, text="Hello?", press=key, **changes)


@pytest.mark.parametrize("state", ["waiting", "parts_in", "handed_over", "cancelled"])
def test_whoever_answers_customers_sees_what_is_unread_in_any_state(state: str) -> None:
    job, ready = factories.job(state=state), factories.job(state="ready", state_since=NOW - timedelta(days=1))
    message = wrote(job)
    reviewer = factories.staff("reviewer")
    found = inbox(reviewer)
    assert [(task.job, task.urgency) for task in found.tasks] == [(ready, 1), (job, 1)]
    assert "The customer has written" in str(found.tasks[1].what)
    assert job not in [task.job for task in inbox(factories.staff("technician")).tasks]
    message.read_at = NOW
    message.save()
    assert [task.urgency for task in inbox(reviewer).tasks if task.job == job] in ([], [4])


def test_an_answer_is_news_until_somebody_acts() -> None:
    from shop.jobs import service
    from shop.jobs.agreement import answer_as_customer

    mira = factories.staff("reviewer", name="mira")
    unsure = factories.fit_row(verdict="measure", value=3.5, margin=0.5)
    job = factories.job(factories.evaluation(unsure))
    service.take_into_review(job_id=job.pk, by=mira)
    ask_customer(job_id=job.pk, by=mira, question="Tow bar?")
    answer_as_customer(job_id=job.pk, answer="No.")
    jonas = factories.staff("reviewer", name="jonas")
    assert [task.urgency for task in inbox(jonas).tasks] == [1]
    measure(job_id=job.pk, axle="front", check_id="brake_clearance", by=mira, value=4.2, uncertainty=0.5)
    assert inbox(jonas).needing == 0
    assert str(inbox(jonas, waiting=True).tasks[0].what) == "mira is reviewing it"
    assert [task.urgency for task in inbox(mira).tasks] == [3]


@pytest.mark.long
def test_pages_follow_each_other_and_a_page_too_far_is_the_last() -> None:
    made = [factories.job(state_since=NOW - timedelta(hours=n)) for n in range(PAGE + 3)]
    reviewer = factories.staff("reviewer")
    first, second = inbox(reviewer), inbox(reviewer, page=2)
    assert [task.job for task in first.tasks + second.tasks] == made[::-1]
    assert [task.job for task in inbox(reviewer, page="99").tasks] == made[2::-1]
    assert [task.job for task in inbox(reviewer, page="x").tasks] == made[:2:-1]


@pytest.mark.long
def test_one_job_and_three_take_as_many_queries() -> None:
    clients = {role: Client() for role in STAFF_ROLES}
    for role, client in clients.items():
        client.force_login(factories.staff(role))

    def add() -> None:
        for state in ("ready", "in_the_bay", "deposit_in", "parts_on_order", "waiting"):
            wrote(factories.job(state=state))

    def counted() -> dict[tuple[str, str], int]:
        found = {}
        for role, client in clients.items():
            for show in ("", "?show=waiting"):
                with CaptureQueriesContext(connection) as queries:
                    client.get(reverse("shop:inbox") + show)
                found[role, show] = len(queries)
        return found

    add()
    counted()  # a session that begins takes some of its own
    one = counted()
    add()
    add()
    assert counted() == one


@pytest.mark.long
@pytest.mark.parametrize(
    ("role", "most"), [("reviewer", 11), ("manager", 11), ("buyer", 8), ("technician", 8)]
)
def test_a_page_is_few_queries_and_never_reads_the_catalogue(
    role: str, most: int, demo_catalogue: object, django_assert_max_num_queries
) -> None:
    client = Client()
    client.force_login(factories.staff(role))
    for state in ("sent", "booked", "parts_in", "handed_over"):
        wrote(factories.job(state=state, recheck_due_on=timezone.localdate()))
    client.get(reverse("shop:inbox"))
    snapshot.forget()
    with django_assert_max_num_queries(most):
        client.get(reverse("shop:inbox"))


def test_a_job_that_is_told_of_for_three_reasons_is_shown_once() -> None:
    job = factories.job(state="handed_over", recheck_due_on=timezone.localdate())
    wrote(job)
    Ledger.objects.update_or_create(job=job, defaults={"is_to_invoice": True, "currency": "EUR"})
    found = inbox(factories.staff("manager"))
    assert [(task.job, task.urgency) for task in found.tasks] == [(job, 1)]
    assert inbox(factories.staff("technician")).needing == 0


def test_whoever_asks_takes_nobodys_place_among_the_longest_waiting(monkeypatch) -> None:
    monkeypatch.setattr("shop.jobs.inbox.MOST", 1)
    for age in (4, 3):
        wrote(factories.job(state="waiting", state_since=NOW - timedelta(hours=age)))
    quiet = factories.job(state="waiting", state_since=NOW)
    assert [task.job for task in inbox(factories.staff("reviewer"), waiting=True).tasks] == [quiet]


@pytest.mark.long
def test_more_than_anybody_does_in_a_day_is_told_and_leads_to_the_list(monkeypatch) -> None:
    monkeypatch.setattr("shop.jobs.inbox.MOST", 3)
    made = [factories.job(state="ready", state_since=NOW - timedelta(hours=n)) for n in range(5)]
    held = [factories.job(state="booked", on_hold_reason="Lift", state_since=NOW) for _each in range(2)]
    found = inbox(factories.staff("reviewer"))
    assert [task.job for task in found.tasks] == [*held, made[4]]
    assert (found.needing, found.needing_more, found.waiting_more) == (3, True, False)
    client = Client()
    client.force_login(factories.staff("manager"))
    page = client.get(reverse("shop:inbox"))
    assert "3+" in page.text
    assert f"{reverse('shop:jobs')}?only=open&amp;sort=waiting" in page.text
