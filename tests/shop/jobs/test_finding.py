"""One box finds a job by whatever is at hand, however it is written."""

from __future__ import annotations

import csv
import io
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.jobs.opening import open_job
from shop.jobs.selectors import Wanted, found_jobs
from shop.models import JobWords
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def reviewer():
    return factories.staff("reviewer", name="mira")


def opened(**changes):
    return open_job(revision=factories.revision(**changes))


@pytest.fixture
def müller(reviewer):
    other = {"name": "Jo Winter", "email": "jo@elsewhere.example", "registration": "ZZ Q 9"}
    opened(evaluation=factories.evaluation(parts=()).model_dump(mode="json"), **other)
    return opened(
        name="Käthe Müller-Voß",
        email="kaethe.voss@customer.example",
        phone="+49 (0)171 / 234 56 78",
        registration="XB-ÄB 120",
        vin="1M8GDM9AXKP042788",
    )


@pytest.mark.parametrize(
    "typed",
    [
        "müller", "MUELLER", "muller-voss", "Voß Käthe", "kathe m",
        "xb äb 120", "XBÄB120", "xb-ab120", "XB - AB 120", "xbaeb 120",
        "0171 2345678", "+49 171 2345678", "0049171-2345678", "+49 (0)171 23 45 678", "2345678",
        "kaethe.voss@customer.example", "VOSS@customer", "1m8gdm9axkp042788", "kp042788",
        "haldor-2", "wheel a 8 x 18", "NW 8018", "grille",
    ],
)  # fmt: skip
def test_a_job_is_found_however_it_is_written(typed: str, müller, reviewer) -> None:
    assert müller in found_jobs(reviewer, Wanted(typed))


@pytest.mark.parametrize("typed", ["müller", "xb äb 120", "0171 2345678", "kp042788", "NW 8018"])
def test_a_job_that_has_it_not_is_not_found(typed: str, müller, reviewer) -> None:
    assert list(found_jobs(reviewer, Wanted(typed))) == [müller]


def test_a_number_kept_without_calling_code_is_found_with_it(reviewer) -> None:
    job = opened(phone="0171 2345678")
    for typed in ("+49 171 2345678", "0049 171 2345678", "0171/2345678"):
        assert list(found_jobs(reviewer, Wanted(typed))) == [job], typed
    assert not found_jobs(reviewer, Wanted("+49 171 2345679"))


def test_a_plate_in_pieces_is_taken_whole_before_its_pieces(reviewer) -> None:
    whole = opened(registration="XB AB 12")
    opened(registration="AB XB 12")
    assert list(found_jobs(reviewer, Wanted("xb ab 12"))) == [whole]


def test_numbers_of_jobs_and_orders_are_found_without_their_strokes(reviewer) -> None:
    from shop.models import OrderedFor, PurchaseLine, PurchaseOrder

    job, _other = opened(), opened(name="Other")
    assert list(found_jobs(reviewer, Wanted(job.number.lower().replace("-", " ")))) == [job]
    order = PurchaseOrder.objects.create(
        number="PO-2026-0007", supplier="s", supplier_name="S", currency="EUR"
    )
    line = PurchaseLine.objects.create(
        order=order, position=1, item="wheel-a", sku="wheel-a", name="Wheel A", unit="each",
        pack_size=1, quantity=4, unit_cost_net=110, amount_net=440,
    )  # fmt: skip
    OrderedFor.objects.create(line=line, part=job.parts.first(), quantity=4)
    for typed in ("PO-2026-0007", "po20260007", "po 2026 0007"):
        assert list(found_jobs(reviewer, Wanted(typed))) == [job], typed
    assert not found_jobs(reviewer, Wanted("PO-2026-0008"))


@pytest.mark.parametrize("typed", ["%", "_", "--", "’", "\u0131", "%%%%", "a" * 100])
def test_signs_that_mean_something_to_a_database_are_signs(typed: str, müller, reviewer) -> None:
    assert len(found_jobs(reviewer, Wanted(typed))) in (0, 2)  # nothing to look for, or not found


def test_lists_are_narrowed_and_sorted(reviewer) -> None:
    now = timezone.now()
    old = factories.job(
        state="in_review", reviewer=reviewer, state_since=now - timedelta(days=9), sort_name="b"
    )
    held = factories.job(on_hold_reason="Parts", state_since=now - timedelta(days=4), sort_name="a")
    gone = factories.job(state="handed_over", booked_start=now, sort_name="c")

    def listed(**wanted):
        return list(found_jobs(reviewer, Wanted(**wanted)))

    assert listed() == [gone, held, old]
    assert listed(sort="waiting") == [old, held, gone]
    assert listed(sort="name") == [held, old, gone]
    assert listed(sort="number") == [old, held, gone]
    assert listed(sort="booked")[0] == gone
    assert listed(only="mine") == [old]
    assert listed(only="held") == [held]
    assert listed(only="open", sort="number") == [old, held]
    assert listed(state="handed_over") == [gone]


@pytest.mark.long
def test_the_list_is_exported_as_it_is_shown(müller, reviewer) -> None:
    client = Client()
    client.force_login(reviewer)
    opened(name="=HYPERLINK(1)", phone="+49 30 1", registration="XB AB 120")
    answer = client.get(reverse("shop:jobs_csv"), {"q": "xb ab 120", "sort": "name"})
    rows = list(csv.DictReader(io.StringIO(b"".join(answer.streaming_content).decode("utf-8-sig"))))
    assert [row["Customer"] for row in rows] == ["'=HYPERLINK(1)", "Käthe Müller-Voß"]
    assert rows[1]["Registration"] == "XB-ÄB 120"
    assert rows[1]["Mail"] == "kaethe.voss@customer.example"
    client.force_login(factories.staff("technician"))
    answer = client.get(reverse("shop:jobs_csv"))
    assert "Mail" not in b"".join(answer.streaming_content).decode()


@pytest.mark.long
def test_a_page_further_on_keeps_what_was_asked(reviewer) -> None:
    for _each in range(21):
        factories.job()
    client = Client()
    client.force_login(reviewer)
    body = client.get(reverse("shop:jobs"), {"q": "ida sommer", "sort": "name"}).content.decode()
    assert 'href="?q=ida+sommer&amp;sort=name&amp;page=2"' in body
    assert len(client.get(reverse("shop:jobs"), {"q": "ida", "page": 2}).context["jobs"]) == 1


def test_what_is_forgotten_is_found_no_more_and_the_index_keeps_up(müller, reviewer) -> None:
    if connection.vendor == "sqlite":
        assert "shop_jobwords_index" in connection.introspection.table_names()
    words = JobWords.objects.get(job=müller)
    words.text = "somebodyelse"
    words.save()
    assert not found_jobs(reviewer, Wanted("kp042788"))
    assert list(found_jobs(reviewer, Wanted("body else"))) == [müller]
    assert list(found_jobs(reviewer, Wanted('else"body'))) == []
    words.delete()
    assert not found_jobs(reviewer, Wanted("somebodyelse"))


@pytest.mark.long
def test_of_what_nearly_every_job_has_the_first_are_shown(reviewer, monkeypatch) -> None:
    monkeypatch.setattr("shop.jobs.finding.FEW", 3)
    monkeypatch.setattr("shop.jobs.views.MOST_FOUND", 4)
    made = [opened(phone=f"0171 55500{n}") for n in range(6)]
    assert list(found_jobs(reviewer, Wanted("ida sommer"))) == made[::-1]
    client = Client()
    client.force_login(reviewer)
    page = client.get(reverse("shop:jobs"), {"q": "sommer"})
    assert "More than 4 jobs" in page.text
    assert len(page.context["jobs"]) == 4
    assert "More than" not in client.get(reverse("shop:jobs"), {"q": "0171 555004"}).text
