"""What stands on the customer's screen is so: after a failure, on the way back, in another language."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from configurator.models import Spec

from .conftest import settled, unfold
from .test_customer import WHEEL, begin

pytestmark = pytest.mark.browser
TYPED = {"name": "Ida Holm", "phone": "+49 171 39200 23", "vin": "KBL0", "notes": "Please ring before noon."}


def take_colour(page: Page, code: str) -> None:
    page.locator(f'input[name="body_finish"][value="{code}"]').check()
    settled(page)


def typed(page: Page) -> dict[str, str]:
    return {name: page.input_value(f"#id_{name}") for name in TYPED}


def type_all(page: Page) -> None:
    for name, text in TYPED.items():
        page.fill(f"#id_{name}", text)
    settled(page)


@pytest.mark.parametrize(("status", "words"), [(503, "at our end"), (410, "to see why")])
def test_what_was_not_taken_is_said_as_what_it_is(visit: Any, status: int, words: str) -> None:
    page = visit()
    begin(page)
    unfold(page)
    page.route("**/build/**", lambda route: route.fulfill(status=status, body="no"))
    take_colour(page, "quay-blue")
    expect(page.locator("#offline")).to_contain_text(words)
    assert "connection" not in page.locator("#offline").inner_text()
    page.unroute_all()
    take_colour(page, "drift-white")
    expect(page.locator("#offline")).to_be_hidden()
    assert Spec.objects.get().selection["body_finish"] == "drift-white"


def test_a_token_made_anew_elsewhere_is_had_and_the_choice_taken(visit: Any) -> None:
    page = visit()
    begin(page)
    unfold(page)
    type_all(page)
    page.context.clear_cookies(name="csrftoken")
    with page.expect_response(lambda answer: answer.request.method == "POST" and answer.status == 200):
        page.locator('input[name="body_finish"][value="quay-blue"]').check()
    assert Spec.objects.get().selection["body_finish"] == "quay-blue"
    page.context.clear_cookies(name="csrftoken")
    page.get_by_role("button", name="Send it to the workshop").click()
    expect(page.locator("#send-problems")).to_contain_text("E-mail")
    assert typed(page) == TYPED


def test_going_back_shows_the_build_as_it_is_and_what_was_typed(visit: Any) -> None:
    page = visit()
    begin(page)
    unfold(page)
    type_all(page)
    take_colour(page, "quay-blue")
    page.goto("/")
    page.go_back()
    unfold(page)
    assert typed(page) == TYPED
    page.check("#id_keep_contact")
    settled(page)
    page.get_by_role("button", name="Take “First light”").click()
    page.wait_for_url("**open=looks")
    page.go_back()
    unfold(page)
    assert page.locator('input[name="wheel"]:checked').input_value() != "", "the look's, as is its price"
    take_colour(page, "drift-white")
    assert Spec.objects.get().selection["front"]["wheel"], "nothing of it was put back unasked"


def test_another_language_or_unit_loses_nothing_typed(visit: Any) -> None:
    page = visit()
    begin(page)
    unfold(page)
    type_all(page)
    page.get_by_role("button", name="Send it to the workshop").click()
    page.locator("#problems").wait_for()
    for press in ("Deutsch", "Zoll"):
        page.locator(".prefs").get_by_role("button", name=re.compile(press)).click()
        page.wait_for_load_state()
        assert typed(page) == TYPED
    assert not any(Spec.objects.get().contact.values()), "it stayed in the browser"


def test_next_is_called_what_it_leads_to(visit: Any) -> None:
    page = visit()
    begin(page)
    lead = page.locator("#next")
    for _section in range(3):
        aim = page.locator(f"h2#h-{(lead.get_attribute('href') or '').removeprefix('#s-')}").inner_text()
        assert lead.text_content() == f"Next: {aim}"
        lead.click()


def test_a_look_is_called_on_only_while_it_is(visit: Any) -> None:
    page = visit()
    begin(page)
    page.get_by_role("button", name="Take “First light”").click()
    page.wait_for_url("**open=looks")
    expect(page.locator(".look-on")).to_have_count(1)
    unfold(page)
    page.locator(WHEEL).check()
    settled(page)
    expect(page.locator(".look-on")).to_have_count(0)
    assert page.get_by_role("button", name="Take “First light”").is_visible()


def test_what_a_press_told_stands_though_what_was_typed_is_stored_after_it(visit: Any) -> None:
    page = visit()
    begin(page)
    unfold(page)
    page.locator(WHEEL).check()
    settled(page)
    page.locator("#id_notes").press_sequentially("Ring me")
    page.locator("#live-chosen button").first.click()
    expect(page.locator("#live-notes")).to_contain_text("Back to the tyres it came with.")
    settled(page)
    expect(page.locator("#live-notes")).to_contain_text("Back to the tyres it came with.")


def test_without_the_pages_own_script_what_was_removed_stays_removed(visit: Any) -> None:
    """An old browser cannot read it, or it does not arrive: then the page is a plain form."""
    page = visit()
    page.route("**/build*.js", lambda route: route.abort())
    begin(page)
    unfold(page)
    page.locator('input[name="accent"][value="ember-orange"]').check()
    page.locator('input[value="calipers-front"]').check()
    page.get_by_role("button", name="Update", exact=True).first.click()
    page.wait_for_load_state()
    page.locator("#live-chosen button").first.click()
    page.wait_for_load_state()
    unfold(page)
    assert not page.locator('input[value="calipers-front"]').is_checked()
    assert Spec.objects.get().selection["options"] == ["standard-bumper"]
