"""Buyer and manager at work: a statement is read, parts are ordered, goods come in on a phone."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from configurator.models import Workshop
from shop.models import Job, Paper, PurchaseOrder, StockLevel
from tests.shop import factories
from tests.shop.money.camt_samples import statement, transfer

from .conftest import PHONE

pytestmark = pytest.mark.browser
SignIn = Callable[..., Page]


def short_job() -> Job:
    """A job that waits for its deposit, with one line of four wheels and one of paint."""
    paint = {"finish": "Quay blue", "hex": "#204060", "system": "plastic panel", "coat": "colour"}
    parts = (
        factories.part(),
        factories.part(
            "basecoat", name="Basecoat", kind="paint", unit="l", pack_size=Decimal("0.25"), facts=paint
        ),
    )
    return factories.job(factories.evaluation(parts=parts), state="deposit_due")


def test_from_the_statement_to_the_parts_in(sign_in: SignIn) -> None:
    job = short_job()
    reference = job.deposit_requests.get().reference
    iban = Workshop.objects.get().iban
    data = statement(
        transfer("100.00", text=f"first part {reference.lower()}"),
        transfer("200.00", text=f"the rest for {job.number}"),
        iban=iban.replace(" ", ""),
    )

    manager = sign_in("anke")
    manager.goto("/workshop/money/statements/")
    manager.get_by_label("Statement").set_input_files(
        {"name": "march.xml", "mimeType": "application/xml", "buffer": data}
    )
    manager.get_by_role("button", name="Look at it").click()
    manager.get_by_role("button", name="Take it into the books").click()
    expect(manager.get_by_role("heading", name="march.xml")).to_be_visible()
    manager.get_by_role("link", name="Not matched").click()
    manager.get_by_role("button", name=f"Book for {job.number}").click()
    expect(manager.get_by_text("Everything that came in has found its job.")).to_be_visible()
    job.refresh_from_db()
    assert job.state == "deposit_in"

    buyer = sign_in("petra", viewport=PHONE)
    buyer.goto("/workshop/parts/")
    buyer.get_by_text("Add a note to the supplier").click()
    buyer.get_by_label("Note to the supplier").fill("Ring at the gate")
    buyer.get_by_role("button", name="Order from Northwheel").click()
    order = PurchaseOrder.objects.get()
    expect(buyer.get_by_role("heading", name=order.number)).to_be_visible()
    assert Paper.objects.filter(kind="purchase order", about=order.pk).exists()

    buyer.get_by_label("1. ").fill("1")
    buyer.get_by_label("Delivery note number").fill("LS 7")
    buyer.get_by_role("button", name="Book in what I entered").click()
    expect(buyer.get_by_text("part received")).to_be_visible()
    buyer.get_by_role("button", name="Everything open came in").click()
    expect(buyer.get_by_text("closed", exact=True)).to_be_visible()

    job.refresh_from_db()
    assert job.state == "parts_in"
    skus = ["wheel-a", "basecoat · Quay blue"]
    assert [StockLevel.objects.get(sku=sku).quantity for sku in skus] == [4, 4]


PAGES = ("parts/", "parts/stock/", "orders/", "money/", "money/statements/", "money/unmatched/")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_staff_pages_pass_axe_and_never_scroll_sideways(sign_in: SignIn, scheme: str) -> None:
    job = short_job()
    page = sign_in("anke", viewport=PHONE, color_scheme=scheme, bypass_csp=True)
    for address in (*PAGES, *(f"jobs/{job.number}/{name}/" for name in ("parts", "money", "papers"))):
        page.goto(f"/workshop/{address}")
        found = Axe().run(page)
        assert found.violations_count == 0, (address, found.generate_report())
        wide = page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")
        assert not wide, address
