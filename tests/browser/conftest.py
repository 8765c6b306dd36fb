"""Debian's chromium, driven by Playwright, on a live site with the demonstration workshop."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from shop.jobs.demo import make_demo_staff

DESKTOP = {"width": 1280, "height": 900}
PHONE = {"width": 360, "height": 780}


@pytest.fixture
def site(transactional_db: None, demo_catalogue: Any, live_server: Any, settings: Any) -> str:
    """The address of a live site with the demonstration catalogue and staff."""
    settings.SITE_URL = str(live_server.url)
    make_demo_staff()
    return str(live_server.url)


@pytest.fixture
def visit(chromium: Browser, site: str) -> Iterator[Callable[..., Page]]:
    """Open the site as a person of their own: ``visit(viewport=PHONE, java_script_enabled=False)``.

    A page that breaks its own content policy, or whose script fails, fails the test.
    """
    contexts = []
    wrong: list[str] = []

    def open_page(**options: Any) -> Page:
        options = {"viewport": DESKTOP, "base_url": site, "locale": "en-GB", **options}
        context = chromium.new_context(**options)
        context.set_default_timeout(15_000)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
        return page

    yield open_page
    for context in contexts:
        context.close()
    # A refused form is a 4xx on purpose; a newer choice aborts the request of the one before it; some
    # tests cut the connection.
    meant = (
        "status of 4",
        "status of 503",
        "Error Code 4",
        "Error Code 503",
        "htmx:sendAbort",
        "htmx:afterRequest",
        "htmx:sendError",
        "net::ERR_",
    )
    unexpected = [text for text in wrong if not any(words in text for words in meant)]
    assert unexpected == []


def settled(page: Page) -> None:
    """Wait until the build page has asked for, got and shown the answer to the last choice."""
    page.wait_for_timeout(250)  # longer than the page itself waits before it asks
    page.locator("#build:not(.htmx-request)").wait_for()


def unfold(page: Page) -> None:
    """Open every section of the build page, as someone without script would."""
    closed = page.locator("details.part:not([open]) > summary")
    while closed.count():
        closed.first.click()


@pytest.fixture
def sign_in(visit: Callable[..., Page]) -> Callable[..., Page]:
    """Open the workshop signed in as one of the demonstration staff."""

    def open_page(name: str, **options: Any) -> Page:
        page = visit(**options)
        page.goto("/workshop/")
        page.get_by_label("Username").fill(name)
        page.get_by_label("Password").fill("kerbline-demo")
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url("**/workshop/**")
        return page

    return open_page
