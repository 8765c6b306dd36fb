"""The buyer's pages: who may, what they show, and what they say to bad input."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client

from configurator.models import Workshop
from shop.models import Job, PurchaseOrder, Receipt, StockLevel
from shop.parts.service import place_order
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop(db: None) -> None:
    Workshop.objects.create(name="Werkhof", tax_rate_pct=19, labour_rate_per_h=90, iban="x")


def signed_in(*roles: str) -> Client:
    client = Client()
    client.force_login(factories.staff(*roles))
    return client


def short_job(**changes: object) -> Job:
    return factories.job(factories.evaluation(parts=(factories.part(**changes),)), state="deposit_in")


PAGES = ("/workshop/parts/", "/workshop/parts/stock/", "/workshop/orders/")


@pytest.mark.parametrize("page", PAGES)
def test_strangers_sign_in_and_people_without_a_role_are_refused(page: str) -> None:
    assert Client().get(page).status_code == 302
    assert signed_in().get(page).status_code == 403
    assert signed_in("technician").get(page).status_code == 200


@pytest.mark.long
def test_parts_to_order_become_an_order_once() -> None:
    job = short_job()
    client = signed_in("buyer")
    page = client.get("/workshop/parts/")
    assert "Northwheel" in page.text
    assert job.number in page.text
    form = page.context["groups"][0][1]

    data = {
        "northwheel-press": form["press"].value(),
        "northwheel-supplier": "northwheel",
        "northwheel-note": "ring",
    }
    first, second = (client.post("/workshop/parts/order/northwheel/", data) for _ in range(2))

    order = PurchaseOrder.objects.get()
    assert first.url == second.url == f"/workshop/orders/{order.number}/"
    assert (order.note, order.placed_by.get_username()) == ("ring", "buyer")


@pytest.mark.long
def test_a_second_buyer_is_told_that_nothing_is_left() -> None:
    short_job()
    place_order(supplier="northwheel", by=None)

    data = {"northwheel-press": "k2", "northwheel-supplier": "northwheel"}
    answer = signed_in("buyer").post("/workshop/parts/order/northwheel/", data, follow=True)

    assert "a colleague was faster" in answer.text


@pytest.mark.long
def test_only_the_buyer_and_the_manager_order() -> None:
    short_job()
    for role, status in (("technician", 403), ("reviewer", 403), ("manager", 302)):
        data = {"northwheel-press": role, "northwheel-supplier": "northwheel"}
        assert signed_in(role).post("/workshop/parts/order/northwheel/", data).status_code == status
        assert "Order from" not in signed_in_page(role)


def signed_in_page(role: str) -> str:
    from django.contrib.auth.models import User

    client = Client()
    client.force_login(User.objects.get(username=role))
    return client.get("/workshop/parts/").text


def test_a_note_too_long_comes_back_at_the_field() -> None:
    short_job()

    data = {"northwheel-press": "k", "northwheel-supplier": "northwheel", "northwheel-note": "x" * 501}
    answer = signed_in("buyer").post("/workshop/parts/order/northwheel/", data)

    assert answer.status_code == 422
    assert "x" * 501 in answer.text
    assert PurchaseOrder.objects.count() == 0


@pytest.mark.long
def test_goods_in_by_line_all_at_once_and_too_much() -> None:
    short_job()
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()
    client, page = signed_in("buyer"), f"/workshop/orders/{order.number}/"
    assert "Goods in" in client.get(page).text

    for wrong, message in (
        ("5", "Only 4 are still open"),
        ("-1", "greater than or equal"),
        ("x", "Enter a number"),
    ):
        answer = client.post(f"{page}goods-in/", {"press": "a", f"line-{line.pk}": wrong})
        assert answer.status_code == 422
        assert message in answer.text
    for _ in range(2):
        client.post(f"{page}goods-in/", {"press": "b", f"line-{line.pk}": "1", "delivery_note": "LS 7"})
    assert Receipt.objects.get().delivery_note == "LS 7"
    client.post(f"{page}goods-in/", {"press": "c", "all": "1"})

    line.refresh_from_db()
    assert line.received == 4
    assert "Goods in" not in client.get(page).text


def test_something_is_not_coming_needs_a_reason() -> None:
    short_job()
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()
    client, page = signed_in("buyer"), f"/workshop/orders/{order.number}/not-coming/"

    assert client.post(page, {"line": line.pk, "why": " "}).status_code == 422
    assert client.post(page, {"line": line.pk + 1, "why": "x"}).status_code == 422
    assert client.post(page, {"line": line.pk, "why": "no longer made"}).status_code == 302
    line.refresh_from_db()
    assert line.not_coming == "no longer made"


@pytest.mark.parametrize(
    ("form", "kind", "start"),
    [
        ("pdf", "application/pdf", b"%PDF"),
        ("csv", "text/csv; charset=utf-8", b"\xef\xbb\xbf"),
        ("xml", "application/xml", b"<?xml"),
    ],
)
def test_order_files(form: str, kind: str, start: bytes) -> None:
    short_job()
    order = place_order(supplier="northwheel", by=None)

    answer = signed_in("buyer").get(f"/workshop/orders/{order.number}/file.{form}")

    assert answer["Content-Type"] == kind
    assert f"{order.number}.{form}" in answer["Content-Disposition"]
    assert answer.content.startswith(start)


def test_counting_the_shelf() -> None:
    StockLevel.objects.create(sku="wheel-a", quantity=2)
    client = signed_in("buyer")

    answer = client.post("/workshop/parts/stock/", {"sku": "wheel-a", "quantity": "-3"})
    assert (answer.status_code, 'value="-3"' in answer.text) == (422, True)
    assert client.post("/workshop/parts/stock/", {"sku": "nothing", "quantity": "1"}).status_code == 404
    assert signed_in("technician").post("/workshop/parts/stock/", {"sku": "wheel-a"}).status_code == 403
    client.post("/workshop/parts/stock/", {"sku": "wheel-a", "quantity": "7.5", "shelf": "B2"})

    level = StockLevel.objects.get()
    assert (level.quantity, level.shelf) == (Decimal("7.5"), "B2")
    assert "B2" in client.get("/workshop/parts/stock/?q=wheel b2").text
    assert "Nothing on the shelves" in client.get("/workshop/parts/stock/?q=zzz").text


def test_a_jobs_parts_list_and_its_files() -> None:
    job = short_job(supplier="northwheel")
    client = signed_in("buyer")
    page = f"/workshop/jobs/{job.number}/parts/"

    assert "to order" in client.get(page).text
    assert client.get(f"{page}northwheel.csv").content.startswith(b"\xef\xbb\xbf")
    assert client.get(f"{page}nobody.csv").status_code == 404
    assert client.get(f"{page}all.zip").content.startswith(b"PK")
    assert client.get("/workshop/jobs/K-2020-0001/parts/").status_code == 404
    Job.objects.update(state="sent")
    assert client.get(page).status_code == 404  # buyers see jobs from agreed on


def test_hostile_addresses_are_not_found() -> None:
    client = signed_in("buyer")
    for path in (
        "orders/' OR 1=1/",
        "orders/PO-9999-9999/file.pdf",
        "parts/stock/?page=x&q=%00",
        "orders/?state=x&page=-4",
    ):
        assert client.get(f"/workshop/{path}").status_code in (200, 404)


@pytest.mark.long
def test_queries_do_not_grow_with_rows() -> None:
    client = signed_in("buyer")
    counts = []
    for size in (1, 3):
        for number in range(size):
            short_job(supplier=f"supplier-{size}-{number}", item=f"wheel-{size}-{number}")
            place_order(supplier=f"supplier-{size}-{number}", by=None)
            short_job(item=f"other-{size}-{number}")
        counts.append({page: queries(client, page) for page in PAGES})
    assert counts[0] == counts[1]


def queries(client: Client, page: str) -> int:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    client.get(page)  # the session notes now and then that someone is there
    with CaptureQueriesContext(connection) as captured:
        assert client.get(page).status_code == 200
    return len(captured)
