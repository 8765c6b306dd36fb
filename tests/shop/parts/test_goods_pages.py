"""The buyer's pages of goods: orders by line and by hand, what comes, goes back and is credited."""

from __future__ import annotations

import pytest
from django.test import Client

from shop.models import GoodsNote, PurchaseOrder, Receipt
from shop.parts.sending import letter_of
from tests.shop import factories

from .test_goods import job_with, make_items

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _workshop() -> None:
    factories.make_workshop()


def signed_in() -> Client:
    client = Client()
    client.force_login(factories.staff("buyer"))
    return client


@pytest.mark.long
def test_the_buyers_pages_do_it_all() -> None:
    make_items()
    job_with()
    client = signed_in()
    page = client.get("/workshop/parts/")
    part = page.context["groups"][0][0].needs[0].part
    form = {
        "northwheel-press": "p1", "northwheel-supplier": "northwheel", f"northwheel-quantity-{part.pk}": "3",
        f"northwheel-price-{part.pk}": "99", f"northwheel-seen-{part.pk}": "5",
    }  # fmt: skip
    refused = client.post("/workshop/parts/order/northwheel/", form)
    assert refused.status_code == 422
    assert "Look again, then order." in refused.text
    assert 'value="3"' in refused.text  # nothing typed is lost
    fresh = refused.context["groups"][0][1]
    assert fresh[f"seen-{part.pk}"].value() == "4.000"
    form[f"northwheel-seen-{part.pk}"] = "4"
    assert client.post("/workshop/parts/order/northwheel/", form).status_code == 302
    order = PurchaseOrder.objects.get()
    at, line = f"/workshop/orders/{order.number}/", order.lines.get()
    assert (line.quantity, line.unit_cost_net) == (3, 99)
    assert letter_of(order).subject in client.get(f"{at}letter/").text
    sent = {"press": "r1", f"line-{line.pk}": "5", "surplus": ""}
    assert "say what happens with it" in client.post(f"{at}goods-in/", sent).text
    assert client.post(f"{at}goods-in/", sent | {"surplus": "keep"}).status_code == 302
    told = {"trouble-press": "t1", "trouble-line": line.pk, "trouble-what": "returned",
            "trouble-quantity": "9", "trouble-then": "credit", "trouble-note": "bent"}  # fmt: skip
    assert "Only 5 of this line" in client.post(f"{at}trouble/", told).text
    assert client.post(f"{at}trouble/", told | {"trouble-quantity": "1"}).status_code == 302
    assert order.number in client.get("/workshop/orders/credits/").text
    note = GoodsNote.objects.get(what="returned")
    credit = {f"credit-{note.pk}-number": "CN 9", f"credit-{note.pk}-amount_net": "99"}
    assert client.post(f"{at}credit/{note.pk}/", {}).status_code == 422
    assert client.post(f"{at}credit/{note.pk}/", credit).status_code == 302
    undo = f"{at}undo/{Receipt.objects.get().pk}/"
    assert client.post(undo, {"why": ""}).status_code == 422
    assert "Only 4 lie on the shelf" in client.post(undo, {"why": "wrong order"}).text


@pytest.mark.long
def test_the_page_of_an_order_by_hand_loses_nothing_typed() -> None:
    make_items()
    client, at = signed_in(), "/workshop/orders/new/"
    assert 'value="wheel-a"' in client.get(f"{at}?item=wheel-a&quantity=4").text
    sent = {"press": "h1", "lines": "4", "supplier": "radhaus", "note": "gate 2", "line0-item": "wheel-a"}
    more = client.post(at, sent | {"more": "1"})
    assert len(more.context["lines"]) == 8
    assert "gate 2" in more.text
    assert 'value="wheel-a"' in more.text
    refused = client.post(at, sent)
    assert refused.status_code == 422
    assert "Say how much." in refused.text
    assert 'value="wheel-a"' in refused.text
    refused = client.post(at, sent | {"line0-quantity": "2"})
    assert "Enter the price agreed" in refused.text
    assert client.post(at, sent | {"line0-quantity": "2", "line0-price": "95"}).status_code == 302
