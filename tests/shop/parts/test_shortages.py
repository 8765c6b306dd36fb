"""What is short is kept in step with whatever changes, and a page of it is bounded."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shop.models import PurchaseOrder, Shortage, ShortageMark, StockLevel
from shop.parts.selectors import LINES
from shop.parts.service import place_order, reserve
from shop.planning.models import PlanRun
from tests.shop import factories
from tests.shop.parts.kept import shortages_agree

pytestmark = pytest.mark.django_db
PAGE = "/workshop/parts/"


@pytest.fixture
def buyer() -> Client:
    factories.make_workshop()
    client = Client()
    client.force_login(factories.staff("buyer"))
    return client


def goods(count: int, supplier: str = "northwheel", **changes: object) -> tuple:
    own = {"supplier": supplier, "supplier_name": supplier.capitalize(), **changes}
    return tuple(factories.part(f"{supplier}-{n:03d}", name=f"Good {n:03d}", **own) for n in range(count))


def short(*parts: object, **changes: object):
    return factories.job(factories.evaluation(parts=parts), **({"state": "deposit_in"} | changes))


@pytest.mark.long
def test_moves_stock_and_orders_are_followed() -> None:
    job, other = short(*goods(3)), short(*goods(2))
    shortages_agree()
    StockLevel.objects.create(sku="northwheel-000", quantity=5)
    shortages_agree()
    reserve(skus=["northwheel-000"])
    shortages_agree()
    order = place_order(supplier="northwheel", by=None)
    shortages_agree()
    assert not Shortage.objects.exists()
    line = order.lines.get(sku="northwheel-001")
    line.not_coming = "no longer made"
    line.save()
    shortages_agree()
    assert Shortage.objects.get().jobs == 2
    job.state = "cancelled"
    job.save()
    factories.mark_job(job)
    shortages_agree()
    assert Shortage.objects.get().by_job == [(other.number, Decimal(4))]


def test_a_new_plan_changes_who_is_served_and_by_when() -> None:
    job = short(*goods(1))
    shortages_agree()
    assert Shortage.objects.get().need_by is None
    job.operations.filter(key="book-in").update(planned_start=timezone.now())
    PlanRun.objects.update_or_create(pk=1, defaults={"kept": 7})
    shortages_agree()
    assert Shortage.objects.get().late


@pytest.mark.long
def test_a_page_shows_the_most_urgent_and_leads_to_the_rest(buyer: Client) -> None:
    short(*goods(LINES + 5), *goods(2, "radhaus"))
    page = buyer.get(PAGE)
    groups = {group.code: group for group, _form in page.context["groups"]}
    assert (groups["northwheel"].lines, len(groups["northwheel"].needs)) == (LINES + 5, LINES)
    assert groups["northwheel"].cost_net == (LINES + 5) * 440
    assert "Radhaus" in page.text
    assert 'value="110"' in page.text
    assert "1.1E+2" not in page.text
    one = buyer.get(PAGE, {"supplier": "northwheel", "page": 2})
    assert "Good 022" in one.text
    assert "Good 002" not in one.text
    assert "Radhaus" not in one.text


@pytest.mark.long
@pytest.mark.parametrize(("pressed", "lines"), [({}, 1), ({"all": "1"}, LINES + 5)])
def test_what_is_shown_is_ordered_or_all_of_it(buyer: Client, pressed: dict, lines: int) -> None:
    job = short(*goods(LINES + 5))
    key = job.parts.get(item="northwheel-001").pk
    typed = {f"northwheel-{name}-{key}": "4" for name in ("quantity", "seen")}
    data = {"northwheel-press": "k", "northwheel-supplier": "northwheel", **typed, **pressed}
    assert buyer.post(f"{PAGE}order/northwheel/", data).status_code == 302
    assert PurchaseOrder.objects.get().lines.count() == lines
    shortages_agree()
    assert Shortage.objects.count() == LINES + 5 - lines


@pytest.mark.long
def test_many_jobs_with_one_need_are_counted_and_the_first_named(buyer: Client) -> None:
    jobs = [short(*goods(1)) for _each in range(7)]
    page = buyer.get(PAGE)
    row = page.context["groups"][0][0].needs[0]
    assert [number for number, _quantity in row.by_job] == [job.number for job in jobs[:5]]
    assert "and 2 jobs more" in page.text


def test_a_page_that_was_read_before_works_nothing_out(buyer: Client) -> None:
    short(*goods(3))
    buyer.get(PAGE)
    assert not ShortageMark.objects.exists()
    with CaptureQueriesContext(connection) as queries:
        buyer.get(PAGE)
    assert not any(word in query["sql"] for query in queries for word in ("INSERT", "DELETE", "UPDATE"))
