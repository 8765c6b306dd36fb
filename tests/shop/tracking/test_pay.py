"""Paying from a telephone: the code as a picture that a bank's app reads, and fields to copy one by one."""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
import zxingcpp
from django.test import Client
from django.utils import timezone, translation
from PIL import Image

from shop.jobs.states import State
from shop.models import Job
from shop.money.service import account, book_payment
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def due(workshop: Any) -> Job:
    """A job whose deposit is due."""
    return factories.job(state=State.DEPOSIT_DUE)


def read(png: bytes) -> list[str]:
    """Return the lines of the code in a picture, as another program reads it."""
    (found,) = zxingcpp.read_barcodes(Image.open(BytesIO(png)).convert("L"))
    return str(found.text).split("\n")


def test_the_picture_says_what_the_page_says(client: Client, due: Job) -> None:
    """EPC069-12, version 2.1: lines 6 to 8 and 10 are name, IBAN, amount and reference."""
    answer = client.get(f"/job/{due.token}/pay/code.png")
    assert answer["Content-Type"] == "image/png"
    assert "attachment" in answer["Content-Disposition"]
    assert "no-store" in answer["Cache-Control"]
    lines = read(answer.content)
    request = account(due).request
    assert request
    assert lines[0] == "BCD"
    assert lines[5:8] == ["Dull Workshop", "DE89370400440532013000", "EUR300.00"]
    assert lines[9] == request.reference
    assert min(Image.open(BytesIO(answer.content)).size) >= 400


def test_each_field_is_copied_by_itself(client: Client, due: Job) -> None:
    text = client.get(f"/job/{due.token}/pay/").content.decode()
    request = account(due).request
    assert request
    for value in ("300.00", "DE89370400440532013000", "Dull Workshop", request.reference):
        assert f'data-copy="{value}"' in text
    with translation.override("de"):
        german = client.get(f"/job/{due.token}/pay/", headers={"Accept-Language": "de"}).content.decode()
    assert 'data-copy="300,00"' in german


@pytest.mark.long
def test_part_paid_it_is_of_the_rest(client: Client, due: Job) -> None:
    pay = {"job_id": due.pk, "received_on": timezone.localdate(), "method": "cash", "by": None}
    book_payment(amount=Decimal("100.00"), press="1", **pay)
    assert read(client.get(f"/job/{due.token}/pay/code.png").content)[7] == "EUR200.00"
    book_payment(amount=Decimal("200.00"), press="2", **pay)
    assert client.get(f"/job/{due.token}/pay/code.png").status_code == 404
    kept_open = client.get(f"/job/{due.token}/pay/", follow=True)
    assert kept_open.redirect_chain == [(f"/job/{due.token}/", 302)]
    assert "Nothing is to be paid at the moment." in kept_open.content.decode()
    assert f"/job/{due.token}/pay/" not in kept_open.content.decode()


@pytest.mark.parametrize("state", [State.SENT, State.IN_REVIEW, State.DECLINED])
def test_while_nothing_is_asked_there_is_nothing_to_pay(client: Client, workshop: Any, state: State) -> None:
    job = factories.job(state=state)
    assert client.get(f"/job/{job.token}/pay/code.png").status_code == 404
    assert client.get(f"/job/{job.token}/pay/").headers["Location"] == f"/job/{job.token}/"


def test_in_another_currency_the_fields_alone_are_there(client: Client, due: Job) -> None:
    """The code is for euro alone (EPC069-12)."""
    due.deposit_requests.update(currency="CHF")
    text = client.get(f"/job/{due.token}/pay/").content.decode()
    assert "DE89370400440532013000" in text
    assert "pay/code.png" not in text
    assert client.get(f"/job/{due.token}/pay/code.png").status_code == 404


@pytest.mark.long
def test_what_is_owed_for_a_job_called_off_is_no_deposit(client: Client, due: Job) -> None:
    Job.objects.filter(pk=due.pk).update(state=State.CANCELLED)
    due.settlements.create(owed=Decimal("80.00"), why="The paint was mixed.")
    assert "€80.00" in client.get(f"/job/{due.token}/").content.decode()
    html = client.get(f"/job/{due.token}/pay/").content.decode()
    assert "Pay what is owed" in html
    assert "Pay the deposit" not in html
