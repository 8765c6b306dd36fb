"""Pages that say no, wait or forget: axe-core on each, wide and narrow.

``KERBLINE_SHOTS=FOLDER`` keeps a picture of each.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from django.template.loader import render_to_string
from django.test import Client

from configurator.models import Spec
from shop.jobs import opening
from tests.pages.conftest import CONTACT, Visitor

from .test_accessibility import check

pytestmark = pytest.mark.browser
SHOTS = os.environ.get("KERBLINE_SHOTS", "")


def look(page: Any, name: str) -> None:
    if SHOTS:
        page.screenshot(path=Path(SHOTS) / f"{name}-{page.viewport_size['width']}.png", full_page=True)
    check(page)


@pytest.mark.parametrize("width", [1280, 360])
def test_what_refuses_waits_or_forgets(visit: Any, settings: Any, width: int) -> None:
    page = visit(viewport={"width": width, "height": 800})
    _too_much(page, settings)
    _no_room(page)
    _confirming(page, settings)
    _being_opened(page)
    _taken_back_and_forgotten(page)
    page.goto("/privacy/")
    look(page, "privacy")


def _too_much(page: Any, settings: Any) -> None:
    page.goto("/")
    settings.REQUEST_BYTES = {"/": 10}
    page.locator("form[action^='/begin/'] button").first.click()
    page.get_by_role("heading", name="That was too much at once").wait_for()
    look(page, "413")
    settings.REQUEST_BYTES = {"/": 10_000_000}
    settings.LIMITS = {"builds": "1/hour"}
    for _ in range(2):
        page.goto("/")
        page.locator("form[action^='/begin/'] button").first.click()
        page.wait_for_load_state()
    page.get_by_role("heading", name="Too many in a short time").wait_for()
    look(page, "429")
    settings.LIMITS = {}


def _no_room(page: Any) -> None:
    page.set_content(render_to_string("507.html"))
    page.wait_for_load_state("load")
    look(page, "507")


def _confirming(page: Any, settings: Any) -> None:
    settings.KERBLINE_CONFIRM_ADDRESS = True
    visitor = Visitor(Client())
    page.goto(visitor.send()["Location"])
    look(page, "waiting")
    page.goto(f"/confirm/{visitor.spec.pending.token}/")
    look(page, "confirm")
    settings.KERBLINE_CONFIRM_ADDRESS = False


def _being_opened(page: Any) -> None:
    visitor = Visitor(Client())
    with opening.turn():
        address = visitor.send(email="otto@customer.example")["Location"]
    # Tasks run where they are called here, so that the job is there already: the page as it was until then.
    page.route("**/job/**", lambda route: route.fulfill(body=_as_it_was(), content_type="text/html"))
    page.goto(address)
    page.get_by_role("heading", name="Your build has arrived").wait_for()
    look(page, "being-opened")
    page.unroute("**/job/**")
    page.goto(address)
    page.get_by_text("K-20").first.wait_for()


def _as_it_was() -> str:
    return render_to_string("tracking/being_opened.html", {"gave_up": False})


def _taken_back_and_forgotten(page: Any) -> None:
    page.goto("/")
    page.locator("form[action^='/begin/'] button").first.click()
    page.wait_for_url("**/build/**")
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    page.locator("button[value=unshare]").click()
    page.get_by_text("The link you showed opens nothing any more").wait_for()
    look(page, "taken-back")
    page.goto("/")
    look(page, "forget-asked")
    page.get_by_role("button", name="Forget me on this device").click()
    page.wait_for_url("**forgotten=1")
    look(page, "forgotten")
    assert Spec.objects.count() > 0
    assert CONTACT["name"] not in page.content()
