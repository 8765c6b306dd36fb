"""The build page under the finger: nothing jumps, the focus stays, every section is one step away."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from configurator.models import Spec
from shop.models import Job

from .conftest import DESKTOP, PHONE, settled
from .test_customer import SPACER, begin, build_one, choose, fill_contact, open_all, reveal

pytestmark = pytest.mark.browser
BADGE = 'input[name="f-front-badge"][value="badge-front"]'


@pytest.mark.parametrize(("size", "most"), [(DESKTOP, 4), (PHONE, 8)])
def test_an_untouched_build_is_short(visit: Any, size: dict[str, int], most: int) -> None:
    page = visit(viewport=size)
    begin(page)
    assert page.evaluate("document.documentElement.scrollHeight / innerHeight") < most


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
def test_no_update_moves_what_was_touched(visit: Any, size: dict[str, int]) -> None:
    """A fact, calipers without an accent, a spoiler without a body colour, a clash, and undoing each."""
    page = visit(viewport=size)
    begin(page)
    open_all(page)
    touched = (
        'input[name="body_finish"][value="own"]',
        'input[name="f-front-bumper"][value="sport-bumper"]',
        'input[name="spacer"]:not([value=""])',
        'input[name="f-calipers"][value="calipers-front"]',
        'input[name="f-roof-spoiler"]:not([value=""])',
        BADGE,
        'input[name="f-removals"]:not(:disabled)',
        'input[name="f-calipers"][value="calipers-front"]',
    )
    for selector in touched:
        box = page.locator(selector).first
        box.scroll_into_view_if_needed()
        box.focus()
        before = box.bounding_box()["y"]
        with page.expect_response(lambda r: r.request.method == "POST"):
            page.keyboard.press("Space")
        settled(page)
        assert abs(box.bounding_box()["y"] - before) <= 1, selector
        assert page.evaluate("document.activeElement.name") == box.get_attribute("name"), selector


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
def test_a_missing_colour_is_asked_and_answered_in_place(visit: Any, size: dict[str, int]) -> None:
    page = visit(viewport=size)
    begin(page)
    choose(page, 'input[name="f-calipers"][value="calipers-front"]')
    option = page.locator(".option", has=page.locator("#state-calipers-front"))
    ask = option.get_by_role("button", name="Fjord teal")
    ask.scroll_into_view_if_needed()
    before = option.bounding_box()["y"]
    with page.expect_response(lambda r: r.request.method == "POST"):
        ask.click()
    settled(page)
    assert abs(option.bounding_box()["y"] - before) <= 1
    expect(page.locator('input[name="accent"][value="fjord-teal"]')).to_be_checked()
    # The button is gone; the focus is on the option that it stood at.
    expect(page.locator('input[value="calipers-front"]')).to_be_focused()
    assert Spec.objects.get().selection["accent"] == "fjord-teal"


def test_a_button_in_a_clash_undoes_it_without_a_jump(visit: Any) -> None:
    page = visit()
    build_one(page)
    choose(page, 'input[name="f-removals"][value="front-badge-remove"]')
    reveal(page, BADGE)
    state = page.locator("#state-badge-front")
    have = state.get_by_role("button")
    have.scroll_into_view_if_needed()
    option = page.locator(".option", has=state)
    before = option.bounding_box()["y"]
    have.click()
    expect(page.locator(BADGE)).to_be_checked()
    settled(page)
    assert abs(option.bounding_box()["y"] - before) <= 1
    expect(page.locator('input[name="f-removals"][value="front-badge-remove"]')).not_to_be_checked()


def test_send_of_what_does_not_fit_leads_to_the_reason_and_the_way_out(visit: Any) -> None:
    page = visit(viewport=PHONE)
    build_one(page)
    open_all(page)
    fill_contact(page)
    page.locator("#id_consent").check()
    # 30 mm at each axle moves the track too far on this van.
    page.select_option("#id_spacer-show", "all")
    settled(page)
    choose(page, 'input[name="spacer"][value="sb-5x112-666-30"]')
    button = page.get_by_role("button", name="Send it to the workshop")
    button.scroll_into_view_if_needed()
    button.click()
    expect(page.locator("#problems")).to_be_focused()
    expect(page.locator("#problems")).to_be_in_viewport()
    assert "does not fit" in page.locator("#problems").inner_text().lower()
    assert Job.objects.count() == 0
    choose(page, SPACER)
    button.click()
    page.wait_for_url("**/job/**")


def test_sections_are_led_through_by_next_and_by_the_map(visit: Any) -> None:
    page = visit(viewport=PHONE)
    begin(page)
    expect(page.locator("#s-vehicle")).to_have_attribute("open", "")
    page.locator("#next").click()
    expect(page.locator("#s-wheels")).to_have_attribute("open", "")
    expect(page.locator("#s-vehicle")).not_to_have_attribute("open", "")
    expect(page.locator("#s-wheels > summary")).to_be_focused()
    page.get_by_role("button", name="Overview").click()
    page.locator(".map").get_by_role("link", name="What comes off").click()
    expect(page.locator("#s-removals")).to_have_attribute("open", "")
    expect(page.locator("#overview")).not_to_be_visible()
    choose(page, 'input[name="f-removals"][value="front-badge-remove"]')
    assert "Taken off" in page.locator("#live-line-removals").inner_text()
    # The picture has turned to where the badge was.
    expect(page.locator('input[name="turn"][value="front"]')).to_be_checked()
    page.get_by_role("button", name="Overview").click()
    page.locator("#live-chosen").get_by_role("button", name="Remove").click()
    expect(page.locator('input[value="front-badge-remove"]')).not_to_be_checked()


def test_an_older_tab_is_told_what_the_newer_one_chose(visit: Any) -> None:
    page = visit()
    build_one(page)
    settled(page)
    older = page.context.new_page()
    older.goto(page.url)
    choose(page, 'input[name="f-calipers"][value="calipers-rear"]')
    settled(page)
    choose(older, 'input[name="spacer"][value=""]')
    dispute = older.locator("#elsewhere")
    dispute.wait_for()
    assert "Rear calipers" in dispute.inner_text()
    assert Spec.objects.get().selection["front"]["spacer"]
    with older.expect_response(lambda r: r.request.method == "POST"):
        dispute.get_by_role("button", name="What is chosen here").click()
    expect(dispute).to_have_count(0)
    stored = Spec.objects.get().selection
    assert stored["front"]["spacer"] is None
    assert "calipers-rear" not in stored["options"]


def test_lists_are_filtered_and_paged_by_keyboard(visit: Any) -> None:
    page = visit()
    begin(page)
    reveal(page, "#id_wheel-diameter")
    page.locator("#id_wheel-diameter").focus()
    page.locator("#id_wheel-diameter").select_option("18")
    settled(page)
    names = page.locator("#list-wheel .pick strong").all_inner_texts()
    assert len(names) > 2
    assert all("×18" in name for name in names[1:])
    expect(page.locator("#id_wheel-diameter")).to_be_focused()
