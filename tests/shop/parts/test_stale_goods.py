"""Two buyers at one order or shelf: nothing is booked, counted or mailed a second time unseen."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse

from configurator.models import Supplier
from shop.models import PurchaseOrder, StockLevel
from shop.parts.correspondence import OrderMail
from shop.parts.receiving import receive
from shop.parts.sending import send_by_mail
from shop.parts.service import count, place_order
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def petra() -> Any:
    return factories.staff("buyer", name="petra")


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(factories.staff("buyer", "manager", name="anke"))
    return client


@pytest.fixture
def order(petra) -> PurchaseOrder:
    """Four wheels and two tyres of one supplier on order."""
    Supplier.objects.create(code="northwheel", name="Northwheel", email="orders@northwheel.example")
    tyres = factories.part("tyre-a", name="Tyre A", kind="tyre", quantity=Decimal(2), supplier_ref="T")
    factories.job_with(factories.part(), tyres)
    return place_order(supplier="northwheel", by=petra, press="o")


def sent(page: Any, inside: str) -> dict[str, str]:
    form = lxml.html.fromstring(page.text).xpath(f"//form[contains(@action, '{inside}')]")[0]
    return {name: value for name, value in form.form_values() if name != "csrfmiddlewaretoken"}


def post(client: Client, name: str, *args: Any, **data: Any) -> tuple[Any, str]:
    answer = client.post(reverse(f"shop:{name}", args=args), data)
    return answer, " ".join(str(message) for message in get_messages(answer.wsgi_request))


def goods_in(client: Client, order: PurchaseOrder) -> dict[str, str]:
    return sent(client.get(reverse("shop:order", args=[order.number])), "/goods-in/")


def came(order: PurchaseOrder) -> list[Decimal]:
    return list(order.lines.order_by("-sku").values_list("received", flat=True))


@pytest.mark.long
@pytest.mark.parametrize("all_at_once", [False, True])
def test_a_delivery_that_a_colleague_booked_is_not_booked_once_more(
    client, petra, order, all_at_once
) -> None:
    wheels, tyres = order.lines.order_by("-sku")
    old = goods_in(client, order)
    typed = {"all": "1"} if all_at_once else {f"line-{wheels.pk}": "2", f"line-{tyres.pk}": "2"}
    receive(order_id=order.pk, quantities={wheels.pk: Decimal(2), tyres.pk: Decimal(2)}, by=petra)

    answer, _said = post(client, "goods_in", order.number, **(old | typed))

    assert answer.status_code == 422
    assert "goods were booked in since you opened the page" in answer.text
    assert came(order) == [2, 2]
    again = sent(answer, "/goods-in/")
    if not all_at_once:
        assert again[f"line-{wheels.pk}"] == "2"
        assert again[f"line-{tyres.pk}"] == "2", "what was typed for a line that is full by now stands there"
    answer, said = post(
        client, "goods_in", order.number, **(again | {f"line-{wheels.pk}": "2", f"line-{tyres.pk}": ""})
    )
    assert said.endswith(f"1 line of {order.number}.")
    assert came(order) == [4, 2]


@pytest.mark.long
def test_a_form_of_goods_in_that_was_sent_is_not_sent_again_with_the_next_delivery(client, order) -> None:
    wheels, _tyres = order.lines.order_by("-sku")
    old = goods_in(client, order) | {f"line-{wheels.pk}": "2"}
    for _ in range(2):
        assert post(client, "goods_in", order.number, **old)[0].status_code == 302
    assert came(order) == [2, 0]

    answer, _said = post(client, "goods_in", order.number, **(old | {f"line-{wheels.pk}": "1"}))

    assert answer.status_code == 422
    assert "sent before with something else in it" in answer.text
    again = post(client, "goods_in", order.number, **sent(answer, "/goods-in/"))[0]
    assert again.status_code == 302
    assert came(order) == [3, 0]


def test_a_shelf_is_not_counted_to_what_lay_there_before_goods_came_in(client, petra) -> None:
    count(sku="wheel-a", quantity=Decimal(10), by=petra)
    page = lxml.html.fromstring(client.get(reverse("shop:stock")).text)
    form = next(each for each in page.forms if "quantity" in each.fields)
    old = {name: value for name, value in form.form_values() if name != "csrfmiddlewaretoken"}
    count(sku="wheel-a", quantity=Decimal(14), by=petra)

    answer, _said = post(client, "stock", **(old | {"quantity": "9"}))

    assert answer.status_code == 422
    assert "14 lie there by now" in answer.text
    assert StockLevel.objects.get(sku="wheel-a").quantity == 14
    page = lxml.html.fromstring(answer.text)
    form = next(each for each in page.forms if "quantity" in each.fields)
    again = {name: value for name, value in form.form_values() if name != "csrfmiddlewaretoken"}
    assert again["quantity"] == "9"
    assert post(client, "stock", **again)[0].status_code == 302
    assert StockLevel.objects.get(sku="wheel-a").quantity == 9


@pytest.mark.long
@pytest.mark.parametrize("page", ["order", "order_letter"])
def test_an_order_that_a_colleague_mailed_is_not_mailed_again_unseen(client, petra, order, page) -> None:
    old = sent(client.get(reverse(f"shop:{page}", args=[order.number])), "/send/")
    send_by_mail(order_id=order.pk, by=petra, press="petra")

    _answer, said = post(client, "order_send", order.number, **old)

    assert "by petra. Nothing was sent now." in said
    assert OrderMail.objects.count() == 1
    again = sent(client.get(reverse("shop:order", args=[order.number])), "/send/")
    assert "goes to" in post(client, "order_send", order.number, **again)[1]
    assert OrderMail.objects.count() == 2
