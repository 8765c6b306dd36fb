"""Ready-made looks and finished builds in the browser: by keyboard, on a phone, and without a script."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from shop.demo import deeds
from shop.demo.builds import BUILDS
from shop.jobs.links import tracking_path
from shop.jobs.states import State
from shop.models import Job

from .conftest import DESKTOP, PHONE
from .test_accessibility import check
from .test_customer import jpeg, open_all

pytestmark = pytest.mark.browser


def fits_the_screen(page: Page) -> None:
    """Fail when the page is wider than the screen, or when axe finds something."""
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert page.viewport_size is not None
    assert wide <= page.viewport_size["width"], page.url
    check(page)


@pytest.mark.parametrize(("screen", "script"), [(DESKTOP, True), (PHONE, True), (PHONE, False)])
def test_a_look_is_taken_changed_and_given_back(visit: Any, screen: Any, script: bool) -> None:
    page = visit(viewport=screen, java_script_enabled=script)
    page.goto("/")
    if script:
        fits_the_screen(page)
    page.get_by_role("button", name="Begin with the Brannvik Haldor II").click()
    card = page.locator("#s-looks .look").filter(has_text="First light")
    price = card.locator(".look-price strong").inner_text()
    page.get_by_role("button", name="Take “First light”").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".messages")).to_contain_text("You took “First light”")
    expect(page.locator("#live-strip")).to_contain_text(price)
    expect(card).to_contain_text("Your build is just this")
    page.get_by_role("button", name="Take “After dark”").click()
    expect(page.locator(".messages")).to_contain_text("It took the place of: Torvik 8×18 ET50 silver")
    if script:
        fits_the_screen(page)
        open_all(page)
        check(page)
    page.get_by_role("button", name="Have my earlier choices back").click()
    expect(card).to_contain_text("Your build is just this")


def test_a_look_is_composed_on_the_customers_page_and_offered(
    sign_in: Callable[..., Page], visit: Any
) -> None:
    page = sign_in("anke", viewport=DESKTOP)
    page.goto("/workshop/showcase/looks/")
    fits_the_screen(page)
    page.locator("form:has(input[value='merle-2']) button").click()
    expect(page.get_by_text("You choose for a look for the Oustrel Merle II estate.")).to_be_visible()
    open_all(page)
    for field in ('name="accent"][value="ember-orange"', 'name="f-front-badge"][value="badge-front"'):
        with page.expect_response(lambda r: r.request.method == "POST"):
            page.locator(f"input[{field}]").check()
    page.get_by_role("button", name="Back with these choices").first.click()
    expect(page.get_by_role("heading", name="Keep as a look")).to_be_visible()
    page.get_by_role("button", name="Keep it and offer it").click()
    expect(page.locator(".error").first).to_be_visible()  # it has no name yet
    page.fill("#id_name", "Evening wind")
    page.fill("#id_de-name", "Abendwind")
    fits_the_screen(page)
    page.get_by_role("button", name="Keep it and offer it").click()
    expect(page.locator(".messages")).to_contain_text("offered at once")
    visitor = visit(viewport=PHONE, locale="de-DE")
    visitor.goto("/")
    visitor.get_by_role("button", name="Abendwind").click()
    expect(visitor.locator("#s-looks")).to_contain_text("Abendwind")


@pytest.fixture
def job(site: str) -> Job:
    """A job of the demonstration, handed over."""
    made = deeds.send(BUILDS["handles"], timezone.now())
    handed_over = {"state": State.HANDED_OVER, "handed_over_at": timezone.now()}
    Job.objects.filter(pk=made.pk).update(agreed_revision=made.revision, **handed_over)
    return Job.objects.get(pk=made.pk)


def prepare(page: Page, number: str) -> None:
    """Choose a photo, add one, cover a square of it by keyboard, write the title, and show it."""
    page.goto(f"/workshop/showcase/finished/{number}/")
    fits_the_screen(page)
    page.get_by_role("button", name="As before").first.click()
    page.get_by_text("Add another photo").click()
    page.set_input_files("#id_photo", [jpeg("after.jpg")])
    page.get_by_role("button", name="Add as after").click()
    page.get_by_role("link", name="Cover parts").last.click()
    page.get_by_role("checkbox", name="C5").focus()
    page.keyboard.press("Space")
    fits_the_screen(page)
    page.get_by_role("button", name="Cover the ticked squares").click()
    expect(page.locator(".shown-photos").first).to_contain_text("1 square covered")
    page.fill("#id_title", "Teal on white")
    page.get_by_role("button", name="Keep title and text").click()
    page.get_by_role("button", name="Show it to visitors").click()
    expect(page.locator(".messages")).to_contain_text("Visitors see it now.")
    fits_the_screen(page)


@pytest.mark.parametrize("screen", [DESKTOP, PHONE])
def test_shown_by_consent_begun_alike_and_gone_when_it_is_taken_back(
    sign_in: Callable[..., Page], visit: Any, job: Job, screen: Any
) -> None:
    customer = visit(viewport=PHONE, java_script_enabled=False)
    customer.goto(tracking_path(job))
    customer.get_by_role("button", name="Yes, I agree to this").click()
    expect(customer.locator("#showing")).to_contain_text("Nothing of it is shown yet.")
    prepare(sign_in("mira", viewport=screen), job.number)

    visitor = visit(viewport=screen)
    visitor.goto("/")
    visitor.get_by_role("link", name="See what we have finished for others").click()
    visitor.wait_for_url("**/finished/")
    fits_the_screen(visitor)
    visitor.get_by_role("link", name="Teal on white").click()
    expect(visitor.get_by_role("heading", name="Before")).to_be_visible()
    fits_the_screen(visitor)
    there = visitor.url
    photo = visitor.locator(".before-after img").last.get_attribute("src")
    visitor.select_option("#own-vehicle", "ambry-1")
    visitor.get_by_role("button", name="Start one like it").click()
    expect(visitor.get_by_role("heading", name="Your Oustrel Ambry")).to_be_visible()
    expect(visitor.locator("#live-chosen")).to_contain_text("Door handles in colour")

    customer.reload()
    customer.get_by_role("button", name="Take my consent back").click()
    expect(customer.locator("#showing")).to_contain_text("You have taken your consent back")
    for gone in (there, photo):
        answer = visitor.goto(gone)
        assert answer is not None
        assert answer.status == 404
