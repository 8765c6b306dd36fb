"""Money in the browser: a bounced deposit, the balance at the counter, a reasoned handover, the invoice."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import facturx
import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from shop.jobs import service as jobs
from shop.models import Invoice, Job
from shop.money.account import account
from shop.money.addresses import keep_address
from shop.money.ledger import book_payment
from shop.money.reductions import reduce_price
from tests.shop import factories
from tests.shop.money.recomputing import kept, plainly

from .test_accessibility import check

pytestmark = pytest.mark.browser
ADDRESS = {"name": "Ida Sommer", "extra": "", "street": "Am Anger 2", "postcode": "50667", "town": "Köln",
           "country": "DE", "vat_id": ""}  # fmt: skip
SHOTS = os.environ.get("KERBLINE_SHOTS", "")


def shoot(page: Page, name: str) -> None:
    """Keep a picture of the whole page where someone wants to look at it."""
    if SHOTS:
        page.screenshot(path=str(Path(SHOTS) / f"{name}.png"), full_page=True)


def pay(job: Job, amount: str) -> None:
    today = timezone.localdate()
    book_payment(job_id=job.pk, amount=Decimal(amount), received_on=today, method="transfer", by=None)


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def test_a_payment_bounces_and_the_balance_is_paid_at_the_counter(sign_in: Callable[..., Page]) -> None:
    job = factories.job(state="deposit_due")
    page = sign_in("anke")
    money = f"/workshop/jobs/{job.number}/money/"
    page.goto(money)
    press(page, "Book it")
    expect(page.locator("main")).to_contain_text("Payment booked")
    assert Job.objects.get().state == "deposit_in"

    page.locator("summary", has_text="Undo").click()
    page.get_by_label("Why is it undone?").fill("the bank returned it")
    page.get_by_label("The bank took it back").check()
    press(page, "Undo it")
    expect(page.locator("main")).to_contain_text("Payment undone")
    assert Job.objects.get().state == "deposit_due"

    Job.objects.update(state="ready")
    page.goto(f"/workshop/jobs/{job.number}/")
    page.locator("#do-hand-over button").click()
    expect(page.locator("#do-hand-over")).to_contain_text("Give a reason")
    page.goto(money)
    page.get_by_label("Street and number").fill("Am Anger 2")
    page.get_by_label("Postcode").fill("50667")
    page.get_by_label("Town").fill("Köln")
    press(page, "Keep the address")
    expect(page.locator("main")).to_contain_text("Address kept")
    press(page, "Book it")
    page.goto(f"/workshop/jobs/{job.number}/")
    page.locator("#do-hand-over button").click()
    expect(page.locator("main")).to_contain_text("It is now “handed over”")

    invoice = Invoice.objects.get()
    assert (invoice.gross, invoice.due) == (Decimal("1190.00"), 0)
    page.goto(money)
    data = page.request.get(page.get_by_role("link", name=invoice.number).get_attribute("href")).body()
    assert facturx.get_facturx_xml_from_pdf(data, check_xsd=True)[0] == "factur-x.xml"
    assert "Paid in full" in PdfReader(io.BytesIO(data)).pages[0].extract_text()
    assert kept(job) == plainly(Job.objects.get())


@pytest.mark.parametrize("width", [1280, 360])
def test_every_page_about_money(sign_in: Callable[..., Page], visit: Callable[..., Page], width: int) -> None:
    job = factories.job(state="ready")
    keep_address(job_id=job.pk, by="customer", address=ADDRESS)
    pay(job, "300.00")
    manager = factories.staff("manager", name="clerk")
    reduce_price(job_id=job.pk, amount=Decimal("40.00"), why="A day late", by=manager, press="a")
    off = factories.job(state="deposit_due")
    pay(off, "300.00")
    Job.objects.filter(pk=off.pk).update(state="deposit_due")
    jobs.cancel(job_id=off.pk, by=manager, why="The van was sold.")
    view = {"viewport": {"width": width, "height": 900}}
    page = sign_in("anke", **view)
    pages = {
        "money": "/workshop/money/",
        "invoices": "/workshop/money/invoices/",
        "export": "/workshop/money/export/",
        "numbers": "/workshop/numbers/",
        "inbox": "/workshop/",
        "job": f"/workshop/jobs/{job.number}/",
        "job-money": f"/workshop/jobs/{job.number}/money/",
        "off-money": f"/workshop/jobs/{off.number}/money/",
    }
    page.goto(pages["job-money"])
    press(page, "Issue the invoice")
    for name, address in pages.items():
        page.goto(address)
        page.evaluate("document.querySelectorAll('main details').forEach(each => each.open = true)")
        check(page)
        shoot(page, f"{name}-{width}")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name
    customer = visit(**view)
    for name, found in {"ready": job, "called-off": off}.items():
        customer.goto(f"/job/{found.token}/")
        check(customer)
        shoot(customer, f"customer-{name}-{width}")
    assert account(job).outstanding == Decimal("850.00")


def test_reference_and_iban_are_copied_as_a_bank_wants_them(chromium, live_server) -> None:
    job = factories.job(state="deposit_due")
    request = job.deposit_requests.get()
    context = chromium.new_context(base_url=live_server.url, viewport={"width": 360, "height": 800})
    context.grant_permissions(["clipboard-read", "clipboard-write"], origin=live_server.url)
    page = context.new_page()
    page.goto(f"/job/{job.token}/")

    for name, wanted in (("Copy the reference", request.reference), ("Copy the IBAN", request.payee["iban"])):
        page.get_by_role("button", name=name).click()
        expect(page.locator(f"button[aria-label='{name}']")).to_have_text("Copied")
        assert page.evaluate("navigator.clipboard.readText()") == wanted
    shoot(page, "copied")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    context.close()
