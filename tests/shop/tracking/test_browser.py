"""The customer's page in a browser: no barrier, no sideways scrolling, whole without scripts, prints."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from shop.jobs.states import State
from shop.messages.conversation import write_as_customer, write_as_workshop
from shop.models import Job
from tests.shop import factories
from tests.shop.tracking.conftest import offered, own_photo, questioned, work_photo

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def jobs(workshop: Any) -> dict[str, Job]:
    """Return jobs in the states whose pages differ most."""
    reviewer = factories.staff("reviewer")
    soon = timezone.now() + timedelta(days=3)
    dates = {"booked_start": soon, "promised_ready_at": soon + timedelta(days=2)}
    bay = factories.job(state=State.IN_THE_BAY, **dates)
    for number in range(2):
        own_photo(bay, label="Dent")
        work_photo(bay, number)
    write_as_customer(job_id=bay.pk, text="Is it going well?", press="a")
    write_as_workshop(job_id=bay.pk, text="Yes.", press="b", user=reviewer)
    return {
        "sent": factories.job(),
        "offer": offered(reviewer),
        "question": questioned(reviewer),
        "deposit": factories.job(state=State.DEPOSIT_DUE),
        "bay": bay,
        "handed over": factories.job(state=State.HANDED_OVER, recheck_due_on=soon.date(), **dates),
        "declined": factories.job(state=State.DECLINED),
        "expired": factories.job(token_expires_at=timezone.now()),
    }


def opened(chromium: Browser, address: str, **options: Any) -> Page:
    """Open a page that must not break its own content policy."""
    page = chromium.new_context(locale="en-GB", **options).new_page()
    page.set_default_timeout(15_000)
    page.goto(address)
    return page


@pytest.mark.parametrize("width", [1280, 360])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barrier_and_no_sideways_scrolling_in_any_state(
    chromium: Browser, live_server: Any, jobs: dict[str, Job], scheme: str, width: int
) -> None:
    """axe-core's rules, WCAG 2.2 among them, with every disclosure open."""
    viewport = {"width": width, "height": 900}
    context = chromium.new_context(viewport=viewport, color_scheme=scheme, locale="en-GB")  # type: ignore[arg-type]
    page = context.new_page()
    broken: list[str] = []
    page.on("console", lambda said: broken.append(said.text) if "Content Security" in said.text else None)
    pages = {name: f"/job/{job.token}/" for name, job in jobs.items()}
    pages |= {"new link": "/job/new-link/", "link sent": "/job/new-link/sent/"}
    for name, address in pages.items():
        page.goto(live_server.url + address)
        page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
        found = Axe().run(page)
        assert found.violations_count == 0, f"{name}: {found.generate_report()}"
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name
    context.close()
    assert broken == []


def test_a_change_is_accepted_by_keyboard_and_without_scripts(
    chromium: Browser, live_server: Any, jobs: dict[str, Job]
) -> None:
    job = jobs["offer"]
    page = opened(chromium, f"{live_server.url}/job/{job.token}/", java_script_enabled=False)

    page.get_by_label("I agree to this version at this price").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")

    expect(page.get_by_role("heading", level=1)).to_have_text("We have agreed. Now the deposit")
    expect(page.get_by_text("You have accepted this version.")).to_be_visible()
    job.refresh_from_db()
    assert job.agreed_revision_id == job.revision_id
    page.go_back()  # nothing is kept on the way, so the page of before is asked for anew
    expect(page.get_by_role("heading", level=1)).to_have_text("We have agreed. Now the deposit")
    expect(page.get_by_role("button", name="Accept this version")).to_have_count(0)
    assert job.history.filter(action="job.customer_agreed").count() == 1


def test_a_message_with_nothing_in_it_is_refused_and_one_with_words_is_kept(
    chromium: Browser, live_server: Any, jobs: dict[str, Job]
) -> None:
    page = opened(chromium, f"{live_server.url}/job/{jobs['sent'].token}/")
    page.get_by_role("button", name="Send message").click()
    expect(page.get_by_role("alert")).to_contain_text("Your message")
    page.get_by_label("Your message").fill("When do you open?")
    page.get_by_role("button", name="Send message").click()
    expect(page.locator(".talk")).to_contain_text("When do you open?")
    assert jobs["sent"].messages.count() == 1


def test_the_page_after_sending_prints_with_its_address(
    chromium: Browser, live_server: Any, jobs: dict[str, Job]
) -> None:
    job = jobs["sent"]
    page = opened(chromium, f"{live_server.url}/job/{job.token}/")
    page.emulate_media(media="print")
    expect(page.get_by_text(f"/job/{job.token}/")).to_be_visible()
    expect(page.get_by_text("Thank you, your build is with us")).to_be_visible()
    expect(page.get_by_role("button", name="Send message")).to_be_hidden()
    assert page.pdf().startswith(b"%PDF-")


@pytest.mark.parametrize("width", [1280, 360])
def test_the_workshops_side_of_the_conversation_has_no_barrier(
    chromium: Browser, live_server: Any, jobs: dict[str, Job], client: Any, width: int
) -> None:
    client.force_login(factories.staff("manager"))
    cookie = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}
    for scheme in ("light", "dark"):
        options: Any = {"viewport": {"width": width, "height": 900}, "color_scheme": scheme}
        context = chromium.new_context(**options)
        context.add_cookies([cookie])  # type: ignore[list-item]
        page = context.new_page()
        page.goto(f"{live_server.url}/workshop/jobs/{jobs['bay'].number}/messages/")
        expect(page.get_by_role("heading", name="Messages with the customer")).to_be_visible()
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        context.close()


def test_another_language_loses_nothing_typed_and_what_came_too_late_stays(
    chromium: Browser, live_server: Any, jobs: dict[str, Job]
) -> None:
    page = opened(chromium, f"{live_server.url}/job/{jobs['question'].token}/")
    page.fill("#messages textarea", "Half a thought")
    page.fill("#asked textarea", "Yes, there is.")
    Job.objects.filter(pk=jobs["question"].pk).update(state=State.DEPOSIT_DUE)
    page.locator("#asked form button").click()
    page.wait_for_url("**/answer/**")
    page.locator(".prefs button[lang=de]").click()
    page.wait_for_url(f"**/job/{jobs['question'].token}/")
    assert page.locator("html").get_attribute("lang") == "de"
    assert page.input_value("#messages textarea") == "Yes, there is."
    page.locator("#messages form button").click()
    page.wait_for_load_state()
    expect(page.locator("#messages .talk")).to_contain_text("Yes, there is.")
    assert page.input_value("#messages textarea") == ""
    page.context.close()
