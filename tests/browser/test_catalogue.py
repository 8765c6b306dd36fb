"""The office keeps the catalogue up in the browser, and the customer sees what is live."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from configurator.catalogue import drafts

from .conftest import DESKTOP, PHONE
from .test_accessibility import check
from .test_customer import open_all

pytestmark = pytest.mark.browser
RANGE = "/workshop/range/"
NAME = "Torvik Sunday 7.5×17"


def fill_wheel(page: Page) -> None:
    """Begin from a wheel that is there and give it what makes it another one."""
    page.goto(f"{RANGE}rows/wheels/")
    page.get_by_role("link", name="Torvik 7.5×17 ET48 silver").click()
    page.get_by_role("link", name="Copy").click()
    page.locator("#id_code").fill("torvik-sunday")
    page.locator("#id_name").fill(NAME)
    page.locator("#id_supplier_ref").fill("TSU175")
    page.locator("#id_unit_price").fill("199,90")


def test_a_wheel_added_drawn_tried_live_and_taken_back(sign_in: Callable[..., Page], visit: Any) -> None:
    page = sign_in("anke", viewport=DESKTOP)
    fill_wheel(page)
    radii = page.locator('input[name="inside_profile_mm-r"]')
    levels = page.locator('input[name="inside_profile_mm-y"]')
    before = [levels.nth(0).input_value(), radii.nth(0).input_value()]
    handle = page.locator(".profile-handles circle").first
    handle.scroll_into_view_if_needed()
    spot = handle.bounding_box()
    assert spot is not None
    page.mouse.move(spot["x"] + spot["width"] / 2, spot["y"] + spot["height"] / 2)
    page.mouse.down()
    page.mouse.move(spot["x"] - 20, spot["y"] + 2, steps=4)
    page.mouse.up()
    drawn = [levels.nth(0).input_value(), radii.nth(0).input_value()]
    assert float(drawn[0]) < float(before[0]), "dragged inboard"
    page.get_by_role("button", name="Keep in the draft").click()
    expect(page.locator("table")).to_contain_text(NAME)
    expect(page.locator("table")).to_contain_text("new, in the draft")

    row = drafts.look(drafts.shared(), "wheels", "torvik-sunday").now
    assert row is not None
    assert row["unit_price"] == "199.9"
    assert row["inside_profile_mm"][0] == [float(drawn[1]), float(drawn[0])]

    page.get_by_role("link", name="Draft").click()
    page.get_by_role("link", name="Try it on open builds").click()
    expect(page.get_by_text("Nothing has been changed by trying.")).to_be_visible()
    customer = visit(viewport=PHONE)
    assert not offered(customer)
    page.get_by_role("link", name="Back to the draft").click()
    page.get_by_label("What it is about").fill("A wheel for Sundays")
    page.get_by_role("button", name="Put it live as one version").click()
    expect(page.get_by_text("It is live as version 2.")).to_be_visible()
    assert offered(customer)

    page.get_by_role("button", name="Take this version back").click()
    expect(page.get_by_text("It is live as version 3.")).to_be_visible()
    assert not offered(customer)


def offered(page: Page) -> bool:
    """Whether a customer of the Haldor II finds the wheel."""
    page.goto("/")
    begin(page)
    open_all(page)
    box = page.locator('input[type="search"]').first
    if box.count():
        box.fill("Sunday")
        page.wait_for_timeout(600)
    return NAME in page.content()


def begin(page: Page) -> None:
    """Begin a build of the Haldor II."""
    page.locator('form[action*="haldor-2"] button, a[href*="haldor-2"]').first.click()
    page.wait_for_url("**/build/**")


def test_points_are_typed_and_drawn_without_script(sign_in: Callable[..., Page]) -> None:
    page = sign_in("anke", viewport=PHONE, java_script_enabled=False)
    page.goto(f"{RANGE}rows/wheels/add/")
    radii, levels = (page.locator(f'input[name="inside_profile_mm-{one}"]') for one in "ry")
    for number, (r, y) in enumerate(((190, -100), (190, -20), (80, 20))):
        radii.nth(number).fill(str(r))
        levels.nth(number).fill(str(y))
    page.locator("#id_name").fill("Kept while drawing")
    page.get_by_role("button", name="Draw again, with more lines").click()
    expect(page.locator(".profile-line")).to_have_attribute("points", "-100,-190 -20,-190 20,-80")
    expect(page.locator(".profile-handles circle")).to_have_count(3)
    expect(page.locator("#id_name")).to_have_value("Kept while drawing")
    assert radii.count() == 6


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 360])
def test_axe_finds_nothing_on_the_catalogues_pages(
    sign_in: Callable[..., Page], width: int, scheme: str
) -> None:
    page = sign_in("anke", viewport={"width": width, "height": 900}, color_scheme=scheme)
    wheel = drafts.look(None, "wheels", "torvik-6.5x16-5x112-et50-silver").now
    assert wheel is not None
    drafts.keep(kind="wheels", key=wheel["code"], data={**wheel, "unit_price": "210"}, by=None)
    for path in (
        "",
        "rows/wheels/",
        "rows/wheels/row/torvik-6.5x16-5x112-et50-silver/",
        "rows/wheels/history/torvik-6.5x16-5x112-et50-silver/",
        "rows/rules/row/splitter-l1-bumper/",
        "rows/recipes/row/arch-trims-fit/",
        "rows/axles/row/haldor-2/front/",
        "rows/options/add/",
        "prices/",
        "texts/de/",
        "files/",
        "draft/",
        "draft/try/",
        "versions/",
        "lists/",
    ):
        page.goto(RANGE + path)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        check(page)
    page.goto(f"{RANGE}rows/wheels/add/")
    page.get_by_role("button", name="Keep in the draft").click()
    page.locator(".error-summary").wait_for()
    check(page)
