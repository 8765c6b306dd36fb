"""An order goes to its supplier by mail once, and what the supplier says counts."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone, translation
from lxml import etree

from configurator.models import Supplier
from configurator.outbox.models import OutboxEntry
from shop.documents import order_mail
from shop.jobs.said import hold_of
from shop.jobs.signals import answers_for, parts_expected
from shop.models import Job, OrderAnswer, OrderMail, PurchaseLine, PurchaseOrder
from shop.parts.sending import OrderAnswerError, note_answer, send_by_mail, try_again
from shop.parts.service import advance, place_order, plan_orders
from tests.shop import factories

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def order() -> PurchaseOrder:
    """An order of two lines to a supplier who reads German."""
    factories.make_workshop()
    Supplier.objects.create(
        code="northwheel", name="Northwheel", email="orders@n.example", language="de", customer_number="K-1"
    )
    parts = (factories.part(), factories.part("tape", unit="m", quantity=Decimal(3)))
    factories.job(factories.evaluation(parts=parts), state="deposit_in")
    return place_order(supplier="northwheel", by=None)


def mailed() -> list[Any]:
    """Return what went to the supplier, and not what customers and colleagues got."""
    return [sent for sent in mail.outbox if sent.to == ["orders@n.example"]]


@pytest.mark.long
def test_the_mail_carries_both_files_in_the_suppliers_language(order: PurchaseOrder) -> None:
    send_by_mail(order_id=order.pk, by=None, press="one")

    (sent,) = mailed()
    assert sent.to == ["orders@n.example"]
    assert sent.reply_to == ["desk@workshop.example"]
    assert sent.subject == f"Bestellung {order.number} von Dull Workshop"
    assert "Kundennummer bei Ihnen: K-1" in sent.body
    pdf, xml = sent.attachments
    assert pdf[0] == f"{order.number}.pdf"
    assert pdf[1].startswith(b"%PDF")
    told = etree.fromstring(xml[1] if isinstance(xml[1], bytes) else xml[1].encode())
    assert told.findtext("{*}ID") == order.number
    assert OrderMail.objects.get().state == "sent"


@pytest.mark.long
def test_pressed_twice_and_kept_twice_it_is_one_mail(order: PurchaseOrder) -> None:
    first = send_by_mail(order_id=order.pk, by=None, press="one")
    assert send_by_mail(order_id=order.pk, by=None, press="one") == first
    order_mail.send_order({"mail_id": first.pk})
    assert len(mailed()) == 1
    send_by_mail(order_id=order.pk, by=None, press="another")
    assert len(mailed()) == 2
    ids = {sent.extra_headers["Message-ID"] for sent in mailed()}
    assert len(ids) == 2


@pytest.mark.long
def test_what_could_not_be_sent_says_so_and_can_be_tried_again(order: PurchaseOrder, settings: Any) -> None:
    working = settings.EMAIL_BACKEND
    settings.EMAIL_BACKEND = "tests.no_such_backend"
    sent = send_by_mail(order_id=order.pk, by=None, press="one")
    sent.refresh_from_db()
    assert sent.state == "waiting"
    assert sent.error
    order_mail.note_failure({"mail_id": sent.pk}, "no such server", True)
    OutboxEntry.objects.filter(kind="order_mail").update(state=OutboxEntry.State.FAILED)
    settings.EMAIL_BACKEND = working
    assert try_again(order_id=order.pk)
    sent.refresh_from_db()
    assert (sent.state, sent.error, len(mailed())) == ("sent", "", 1)
    assert not try_again(order_id=order.pk)


@pytest.mark.long
def test_without_an_address_nothing_is_promised(order: PurchaseOrder) -> None:
    order.supplier_address = {}
    order.save()
    assert send_by_mail(order_id=order.pk, by=None, press="one") is None
    assert not OrderMail.objects.exists()


def said(order: PurchaseOrder, what: str, **more: Any) -> OrderAnswer:
    return note_answer(order_id=order.pk, said=what, by=None, **({"press": f"{what}{more}"[:40]} | more))


@pytest.mark.long
def test_a_later_day_is_when_the_job_can_expect_its_parts(order: PurchaseOrder) -> None:
    day = timezone.localdate() + timedelta(days=40)
    line = order.lines.get(item="tape")
    said(order, "later", line_id=line.pk, day=day)

    job = Job.objects.get()
    (here,) = answers_for(parts_expected, [job])[job.pk]
    assert timezone.localdate(here) == day + timedelta(days=1)
    assert PurchaseLine.objects.get(item="wheel-a").expected_on is None


@pytest.mark.long
def test_a_day_later_than_needed_holds_the_job_in_words(order: PurchaseOrder) -> None:
    job = Job.objects.get()
    start = timezone.now() + timedelta(days=20)
    job.operations.update(planned_start=start, planned_end=start, planned_free=start)
    advance(job_id=job.pk)
    job.refresh_from_db()
    assert not job.is_held

    said(order, "later", day=timezone.localdate() + timedelta(days=30))
    job.refresh_from_db()
    assert hold_of(job).startswith("Parts short: ")
    assert order.number in hold_of(job)

    said(order, "confirmed", day=timezone.localdate() + timedelta(days=5))
    job.refresh_from_db()
    assert not job.is_held


@pytest.mark.long
def test_what_does_not_come_at_all_is_to_be_ordered_again(order: PurchaseOrder) -> None:
    assert plan_orders() == []
    said(order, "not coming", note="Discontinued")
    (group,) = plan_orders()
    assert {need.part.item for need in group.needs} == {"wheel-a", "tape"}
    order.refresh_from_db()
    assert order.state == "closed"
    assert set(order.lines.values_list("not_coming", flat=True)) == {"Discontinued"}
    with pytest.raises(OrderAnswerError, match=r"^Nothing is open there any more\.$") as caught:
        said(order, "confirmed")
    assert caught.value.field == "said"


@pytest.mark.long
def test_why_nothing_comes_is_the_suppliers_word_or_ours_in_the_readers_language(
    order: PurchaseOrder,
) -> None:
    said(order, "not coming")
    line = order.lines.first()
    assert line.not_coming_said == "the supplier says so"
    with translation.override("de"):
        assert line.not_coming_said not in ("", "the supplier says so")
        line.not_coming = "Fell off the lorry"
        assert line.not_coming_said == "Fell off the lorry"


@pytest.mark.long
def test_later_needs_a_day_and_a_pressing_is_one_note(order: PurchaseOrder) -> None:
    with pytest.raises(OrderAnswerError, match=r"^Say the day on which it is to come\.$") as caught:
        said(order, "later")
    assert caught.value.field == "day"
    assert said(order, "read", press="p") == said(order, "read", press="p")
    assert OrderAnswer.objects.count() == 1


@pytest.mark.long
def test_the_page_sends_notes_and_loses_nothing_typed(order: PurchaseOrder, client: Client) -> None:
    client.force_login(factories.staff("buyer"))
    address = f"/workshop/orders/{order.number}/"
    client.post(address + "send/", {"press": "one"})
    assert len(mailed()) == 1
    typed = {"answer-press": "two", "answer-said": "later", "answer-note": "after the holidays"}
    refused = client.post(address + "answer/", typed)
    assert refused.status_code == 422
    assert "after the holidays" in refused.content.decode()
    noted = client.post(address + "answer/", typed | {"answer-day": "2030-01-15"}, follow=True)
    page = noted.content.decode()
    assert "after the holidays" in page
    assert "orders@n.example" in page
    assert "delivers later" in page


@pytest.mark.long
@pytest.mark.parametrize("role", ["technician", "reviewer"])
def test_who_does_not_buy_does_not_send(order: PurchaseOrder, client: Client, role: str) -> None:
    client.force_login(factories.staff(role))
    for what in ("send", "answer", "send-again"):
        assert client.post(f"/workshop/orders/{order.number}/{what}/", {"press": "x"}).status_code == 403
    assert not mailed()
