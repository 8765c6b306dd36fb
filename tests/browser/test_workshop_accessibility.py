"""axe-core on the workshop's pages of the week: jobs by hand, changes, book-in, customers, goods, news."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from shop.customers.joining import join
from shop.jobs.changes import Wanted, propose
from shop.jobs.entering import Written
from shop.jobs.opening import open_job
from shop.models import GoodsNote, Job
from shop.parts.service import count, issue, place_order, receive, reserve
from tests.shop import factories

from .conftest import DESKTOP
from .test_accessibility import check
from .test_office_accessibility import looked_at

pytestmark = pytest.mark.browser
PRESSED = {
    "/workshop/jobs/new/": "Enter the job",
    "/workshop/orders/new/": "Place this order",
}


@pytest.fixture
def pictures() -> Callable[[Page, str], None]:
    """Keep a picture of each page where ``KERBLINE_PICTURES`` says, for whoever wants to look at them."""
    folder = os.environ.get("KERBLINE_PICTURES", "")

    def keep(page: Page, name: str) -> None:
        if folder:
            page.screenshot(path=f"{folder}/{re.sub(r'[^a-z0-9]+', '-', name.lower())}.png", full_page=True)

    return keep


def furnish() -> dict[str, list[str]]:
    """Put something on every page of the week and return their addresses by part of it."""
    job = factories.job(state="in_the_bay")
    wanted = Wanted(add=(Written("Weld the sill", Decimal(240), hands_on_h=2.0),))
    propose(job_id=job.pk, by=User.objects.get(username="timo"), why="Rust.", wanted=wanted, press="week")
    coming = factories.job(state="booked")
    gone = factories.job(state="handed_over")
    for one in (job, coming, gone):
        join(one)
    # The same mail address under another name: a person has to say whether they are one.
    customer = join(open_job(revision=factories.revision(name="Jo Winter")))
    line, note = bought()
    left = left_over()
    of = "/workshop/jobs/{}"
    return {
        "jobs": [
            "/workshop/",
            "/workshop/jobs/new/",
            f"{of.format(gone.number)}/visit/",
            f"{of.format(job.number)}/changes/",
            f"{of.format(job.number)}/notes/",
            f"{of.format(coming.number)}/book-in/",
            "/workshop/customers/",
            "/workshop/customers/same/",
            f"/workshop/customers/{customer.pk}/",
            "/workshop/told/",
        ],
        "parts": [
            "/workshop/parts/",
            "/workshop/parts/?supplier=northwheel",
            "/workshop/orders/new/",
            "/workshop/orders/credits/",
            f"/workshop/orders/{note.line.order.number}/",
            f"/workshop/orders/{line.order.number}/replace/{line.pk}/",
            f"{of.format(left.number)}/parts/",
        ],
    }


def bought() -> tuple[Any, GoodsNote]:
    """Return a line on order, and a note of goods whose credit is awaited; one is to be ordered."""
    parts = (factories.part("bolt", name="Bolt"), factories.part("ring", name="Ring"))
    factories.job(factories.evaluation(parts=parts), state="deposit_in")
    order = place_order(supplier="northwheel", by=None)
    first, second = (order.lines.get(sku=sku) for sku in ("bolt", "ring"))
    receive(order_id=order.pk, quantities={first.pk: Decimal(2)}, by=None)
    factories.job(state="deposit_in")
    note = GoodsNote.objects.create(
        line=first, what="returned", quantity=1, credit_due_net=Decimal("1.50"), press="week-note"
    )
    return second, note


def left_over() -> Job:
    job = factories.job(factories.evaluation(parts=(factories.part("nut"),)), state="parts_in")
    count(sku="nut", quantity=Decimal(4))
    reserve(skus=["nut"])
    issue(job=job)
    job.parts.update(dropped=True)
    return job


@pytest.mark.parametrize("width", [1280, 360])
@pytest.mark.parametrize("part", ["jobs", "parts"])
def test_every_page_of_the_week(sign_in: Callable[..., Page], part: str, width: int, pictures: Any) -> None:
    page = sign_in("anke", viewport={"width": width, "height": 800})
    faults = []
    for address in furnish()[part]:
        assert page.goto(address).status == 200, address
        faults += looked_at(page, address, width)
        pictures(page, f"{address}-{width}")
        if address in PRESSED:
            page.get_by_role("button", name=PRESSED[address], exact=True).first.click()
            page.locator(".error, .error-summary, .has-error").first.wait_for()
            faults += looked_at(page, f"{address} with mistakes", width)
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
def test_the_pages_names_stand_in_one_line_and_the_others_in_a_menu(
    sign_in: Callable[..., Page], locale: str
) -> None:
    page = sign_in("anke", viewport=DESKTOP)
    page.context.add_cookies([{"name": "django_language", "value": locale[:2], "url": page.url}])
    page.goto("/workshop/settings/")
    nav = page.locator(".site-nav")
    assert nav.bounding_box()["height"] < 60, "one line"  # type: ignore[index]
    last = nav.get_by_role("button")
    expect(last).to_be_hidden()
    nav.locator("summary").click()
    expect(last).to_be_visible()
    check(page)
    expect(nav.locator("details a[aria-current=page]")).to_have_count(1)
    inside: Any = page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert inside
