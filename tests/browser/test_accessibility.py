"""axe-core on every customer page: no violation, light and dark, wide and narrow."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from shop.jobs.states import State
from shop.models import Job

from .test_customer import build_one, choose, fill_contact, jpeg, open_all

pytestmark = pytest.mark.browser
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def check(page: Any) -> None:
    """Run axe-core and fail with what it names; a run that looked at nothing fails as well."""
    found = Axe().run(page, options={"runOnly": TAGS}).response
    assert len(found["passes"]) > 10
    faults = [(v["id"], [n["target"] for n in v["nodes"]]) for v in found["violations"]]
    assert faults == [], page.url


def test_axe_finds_what_is_wrong(visit: Any) -> None:
    page = visit()
    page.goto("/")
    page.evaluate("document.querySelector('main').innerHTML += '<img src=x><input>'")
    with pytest.raises(AssertionError):
        check(page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 360])
def test_every_customer_page(visit: Any, width: int, scheme: str) -> None:
    page = visit(viewport={"width": width, "height": 800}, color_scheme=scheme)
    page.goto("/")
    check(page)
    build_one(page)
    choose(page, 'input[name="accent"][value="own"]')
    choose(page, 'input[name="f-front-badge"][value="badge-front"]')
    open_all(page)
    page.set_input_files("#id_photos", [jpeg("left.jpg"), {"name": "x.jpg", "mimeType": "", "buffer": b"no"}])
    expect(page.locator(".photo")).to_have_count(2, timeout=20_000)
    check(page)
    open_all(page)
    check(page)
    build, share = page.url, page.input_value("#id_share")
    page.get_by_role("button", name="Send it to the workshop").click()
    page.locator("#problems").wait_for()
    check(page)
    if width < 400:
        page.get_by_role("button", name="Overview").click()
        check(page)
    for path in (
        share,
        f"{build}compare/?other={share}",
        f"{build}compare/?other=none",
        "/nope/",
        "/sign-in/",
    ):
        page.goto(path)
        check(page)
    page.goto(build)
    fill_contact(page)
    choose(page, "#id_consent")
    page.get_by_role("button", name="Send it to the workshop").click()
    page.wait_for_url("**/job/**")
    check(page)
    job = Job.objects.get()
    address = page.url.split("#")[0]
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    check(page)
    page.set_input_files("#id_photos", [{"name": "x.jpg", "mimeType": "image/jpeg", "buffer": b"no"}])
    page.get_by_role("button", name="Send photos").click()
    page.wait_for_url("**#own-photos")
    check(page)
    page.locator("#contact summary").click()
    page.fill("#id_mail-email", "ida@elsewhere.example")
    page.get_by_role("button", name="Change the mail address").click()
    expect(page.locator("#contact .notice")).to_be_visible()
    check(page)
    for state in (State.DEPOSIT_DUE, State.BOOKED, State.READY, State.HANDED_OVER, State.CANCELLED):
        Job.objects.update(state=state)
        page.goto(address)
        check(page)
    Job.objects.update(state=State.DEPOSIT_DUE)
    for path in (
        f"{address}pay/",
        f"/job/new-address/{job.new_address.token}/",
        "/job/new-link/",
        "/job/new-link/sent/",
    ):
        page.goto(path)
        check(page)
