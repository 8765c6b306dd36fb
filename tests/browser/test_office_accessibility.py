"""axe-core on every page of the office: catalogue, price lists, vehicles, settings, accounts, requests."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page

from tests.shop.office import furnish

from .test_accessibility import check

pytestmark = pytest.mark.browser
# What is pressed with nothing in it, so that the page tells its mistakes.
PRESSED = {
    "/workshop/range/rows/wheels/add/": "Keep in the draft",
    "/workshop/vehicles/add/": "Save, live at once",
    "/workshop/requests/new/": "Keep it",
    "/not-listed/": "Send it to the workshop",
    "/workshop/privacy/": "Look",
}


@pytest.mark.parametrize("width", [1280, 360])
@pytest.mark.parametrize("part", ["catalogue", "rows", "people", "vehicles"])
def test_every_page_of_the_office(sign_in: Callable[..., Page], part: str, width: int) -> None:
    page = sign_in("anke", viewport={"width": width, "height": 800})
    faults = []
    for address in furnish(User.objects.get(username="anke"))[part]:
        page.goto(address)
        faults += looked_at(page, address, width)
        if address in PRESSED:
            page.get_by_role("button", name=PRESSED[address], exact=True).first.click()
            page.locator(".error, .error-summary, .has-error").first.wait_for()
            faults += looked_at(page, f"{address} with mistakes", width)
    assert not faults, "\n".join(faults)


def looked_at(page: Page, address: str, width: int) -> list[str]:
    """Return what axe finds in both themes, all that is folded opened, and whether the page is too wide."""
    # The menu lies over the page: it is looked at by itself.
    page.evaluate("document.querySelectorAll('details:not(.site-menu)').forEach(one => { one.open = true })")
    found = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        try:
            check(page)
        except AssertionError as error:
            found.append(f"{address} {width} {scheme}: {str(error).splitlines()[0][:600]}")
    too_wide: Any = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    if too_wide > 0:
        found.append(f"{address} {width}: {too_wide} px too wide")
    return found
