"""Back in the browser, something else written, sent again: nothing is dropped, and once more does it."""

from __future__ import annotations

from typing import Any

import lxml.html
import pytest
from django.test import Client
from django.urls import reverse

from configurator.models import Supplier
from shop.models import GoodsNote, HistoryEntry, Job, Message, OrderAnswer, Proposal, PurchaseOrder
from shop.parts.service import place_order
from tests.shop import factories

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_catalogue")]
USED = "sent before with something else in it"


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(factories.staff("manager", "reviewer", "buyer", "technician", name="anke"))
    return client


def form_with(page: Any, button: str, fields: Any) -> dict[str, str]:
    """Return what the form of this button and these fields on a page would send, as it stands there."""
    forms = lxml.html.fromstring(page.text).xpath(f"//form[.//button[normalize-space()='{button}']]")
    (found,) = (form for form in forms if set(fields) <= set(form.fields.keys()))
    return {name: value.lstrip("\n") for name, value in found.form_values() if name != "csrfmiddlewaretoken"}


def sent_again(client: Client, address: str, send_to: str, button: str, first: Any, other: Any) -> None:
    """Send a form twice, then back with something else in it, then what the page that refuses shows."""
    form = form_with(client.get(address), button, first)
    assert [client.post(send_to, form | first).status_code for _ in range(2)] == [302, 302]
    refused = client.post(send_to, form | other)
    assert refused.status_code in (400, 409, 422)
    assert USED in refused.text
    again = form_with(refused, button, first)
    assert {name: again[name] for name in other} == other, "nothing typed is lost"
    assert client.post(send_to, again).status_code == 302


@pytest.mark.long
def test_a_note(client) -> None:
    page = reverse("shop:job_notes", args=[factories.job().number])
    add = page + "add/"
    first, other = ({"note-kind": "inner", "note-text": text} for text in ("one", "two"))
    sent_again(client, page, add, "Keep the note", first, other)
    assert list(HistoryEntry.objects.filter(action="note.inner").values_list("why", flat=True)) == [
        "one",
        "two",
    ]


@pytest.mark.long
def test_a_message_to_the_customer(client) -> None:
    page = reverse("shop:job_messages", args=[factories.job().number])
    sent_again(client, page, page, "Send message", {"staff-text": "one"}, {"staff-text": "two"})
    assert sorted(Message.objects.values_list("text", flat=True)) == ["one", "two"]


def line(label: str) -> dict[str, str]:
    return {"line-0-label": label, "line-0-hands_on_h": "1", "line-0-amount": "50"}


@pytest.mark.long
def test_a_job_at_the_desk(client) -> None:
    page = reverse("shop:new_job")
    first = {"name": "Ida Sommer", "vehicle": "Old tractor"} | line("Weld it")
    other = {"name": "Otto Marten", "vehicle": "Old tractor"} | line("Weld it")
    sent_again(client, page, page, "Enter the job", first, other)
    assert sorted(Job.objects.values_list("revision__name", flat=True)) == ["Ida Sommer", "Otto Marten"]


@pytest.mark.long
def test_extra_work(client) -> None:
    page = reverse("shop:changes", args=[factories.job(state="in_the_bay").number])
    sent_again(
        client,
        page,
        page,
        "Propose it",
        {"why": "rust"} | line("Weld it"),
        {"why": "rust"} | line("Paint it"),
    )
    assert sorted(Proposal.objects.values_list("lines__label", flat=True)) == ["Paint it", "Weld it"]


@pytest.fixture
def order(client) -> PurchaseOrder:
    Supplier.objects.get_or_create(code="northwheel", defaults={"name": "Northwheel"})
    factories.job_with()
    return place_order(supplier="northwheel", by=None, press="o")


@pytest.mark.long
def test_what_a_supplier_says(client, order) -> None:
    page, answer = (reverse(f"shop:{name}", args=[order.number]) for name in ("order", "order_answer"))
    first, other = ({"answer-said": "replied", "answer-note": text} for text in ("one", "two"))
    sent_again(client, page, answer, "Note it", first, other)
    assert sorted(OrderAnswer.objects.values_list("note", flat=True)) == ["one", "two"]


@pytest.mark.long
def test_what_came_damaged(client, order) -> None:
    page = reverse("shop:order", args=[order.number])
    trouble = reverse("shop:goods_trouble", args=[order.number])
    common = {"trouble-line": str(order.lines.get().pk), "trouble-what": "damaged", "trouble-then": "again"}
    first, other = (common | {"trouble-quantity": quantity} for quantity in ("1", "2"))
    sent_again(client, page, trouble, "Note it", first, other)
    assert sorted(GoodsNote.objects.values_list("quantity", flat=True)) == [1, 2]


@pytest.mark.long
def test_an_order_by_hand(client) -> None:
    page = reverse("shop:order_new")
    supplier = Supplier.objects.first()
    assert supplier is not None
    item = supplier.items.first()
    common = {"supplier": supplier.code, "line0-item": item.code, "line0-price": "1"}
    first, other = (
        common | {"line0-quantity": f"{(packs * item.pack_size).normalize():f}"} for packs in (1, 2)
    )
    sent_again(client, page, page, "Place this order", first, other)
    assert PurchaseOrder.objects.count() == 2
