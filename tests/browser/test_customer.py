"""The customer's whole way in a browser: build, see, understand, keep, show, send."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import expect

from configurator.models import Photo, Spec, SpecRevision
from shop.models import Job

from .conftest import settled

pytestmark = pytest.mark.browser
WHEEL = 'input[name="wheel"][value="torvik-8x18-5x112-et50-gloss-black"]'
SPACER = 'input[name="spacer"][value="sp-5x112-666-15"]'


def begin(page: Any) -> None:
    page.goto("/")
    page.get_by_role("button", name="Begin with the Brannvik Haldor II").click()
    page.wait_for_url("**/build/**")


def reveal(page: Any, selector: str) -> None:
    """Open whatever the element is folded away in."""
    page.locator(selector).first.evaluate(
        "e => { for (let d = e.closest('details'); d; d = d.parentElement.closest('details')) d.open = true }"
    )


def open_all(page: Any) -> None:
    """Open every section and everything folded away in it."""
    page.evaluate("document.querySelectorAll('#build details').forEach(d => { d.open = true })")


def choose(page: Any, selector: str) -> None:
    """Tick it, wherever it is folded away, and wait for the server's answer."""
    reveal(page, selector)
    with page.expect_response(lambda r: r.request.method == "POST" and "/build/" in r.url):
        page.locator(selector).check()


def fill_contact(page: Any) -> None:
    reveal(page, "#id_name")
    page.fill("#id_name", "Ida Holm")
    page.fill("#id_email", "ida@customer.example")
    page.fill("#id_notes", "Please ring before noon.")


def jpeg(name: str) -> dict[str, Any]:
    out = BytesIO()
    Image.new("RGB", (640, 480), (40, 90, 120)).save(out, "JPEG")
    return {"name": name, "mimeType": "image/jpeg", "buffer": out.getvalue()}


def build_one(page: Any) -> None:
    begin(page)
    choose(page, 'input[name="body_finish"][value="tarnside-green"]')
    choose(page, WHEEL)
    choose(page, SPACER)
    choose(page, 'input[name="accent"][value="ember-orange"]')
    choose(page, 'input[name="f-calipers"][value="calipers-front"]')


def test_from_the_first_page_to_the_job(visit: Any) -> None:
    page = visit()
    build_one(page)
    assert "Needs 42 mm bolts, which we add." in page.locator("#live-fit-front").inner_text()
    fill_contact(page)
    page.get_by_role("button", name="Send it to the workshop").click()
    # The note was typed last: the update it asks for comes after the answer, and takes nothing from it.
    expect(page.locator("#problems")).to_be_focused()
    settled(page)
    expect(page.locator("#problems")).to_be_focused()
    assert page.input_value("#id_notes") == "Please ring before noon."
    # Whoever types on is left alone where they are, also when the list grows or shrinks.
    for name, on_the_list in (("", 1), ("Ida Holm", 0)):
        page.fill("#id_name", name)
        page.locator("#id_email").focus()
        expect(page.locator('#problems a[href="#div_id_name"]')).to_have_count(on_the_list)
        settled(page)
        expect(page.locator("#id_email")).to_be_focused()
    # What is put right is no longer called wrong, above the button and beside the field.
    choose(page, "#id_consent")
    expect(page.locator("#problems")).to_have_count(0)
    expect(page.locator("#div_id_consent .error, #id_consent[aria-invalid]")).to_have_count(0)
    page.get_by_role("button", name="Send it to the workshop").click()
    page.wait_for_url("**/job/**")
    job = Job.objects.get()
    assert job.token in page.url
    # The back button finds the build sent and leads on; a second tab as well.
    build = f"/build/{Spec.objects.get().token}/"
    page.goto(build)
    assert job.token in page.url
    assert Job.objects.count() == 1


def test_the_same_without_javascript(visit: Any) -> None:
    page = visit(java_script_enabled=False)
    begin(page)
    page.locator('input[name="body_finish"][value="tarnside-green"]').check()
    page.locator("#s-vehicle button[value='update:vehicle']").click()
    page.locator("#s-wheels > summary").click()
    page.locator(WHEEL).check()
    page.locator("#s-wheels button[value='update:wheels']").click()
    # It comes back to the section that is worked on, open.
    assert page.url.endswith("?open=wheels#s-wheels")
    assert "Tyres now" in page.locator(".messages").inner_text()
    page.locator(SPACER).check()
    page.locator("#s-wheels button[value='update:wheels']").click()
    expect(page.locator("#live-fit-front")).to_contain_text("Needs 42 mm bolts, which we add.")
    page.locator("#s-photos > summary").click()
    page.locator("#id_photos").set_input_files([jpeg("left.jpg"), jpeg("right.jpg")])
    page.get_by_role("button", name="Upload").click()
    expect(page.locator(".photo img")).to_have_count(2)
    page.get_by_role("button", name="Rotate left").click()
    page.locator("#s-send > summary").click()
    page.fill("#id_name", "Ida Holm")
    page.fill("#id_email", "ida@customer.example")
    page.get_by_role("button", name="Send it to the workshop").click()
    # The browser itself leads to the summary at the button.
    expect(page.locator("#problems")).to_be_focused()
    expect(page.locator("#problems")).to_be_in_viewport()
    assert "Please tick this" in page.locator("#div_id_consent").inner_text()
    assert page.input_value("#id_name") == "Ida Holm"
    page.locator("#id_consent").check()
    page.get_by_role("button", name="Send it to the workshop").click()
    page.wait_for_url("**/job/**")
    page.go_back()
    page.go_back()
    assert Job.objects.count() == 1


def test_two_tabs_and_a_double_click_make_one_job(visit: Any) -> None:
    page = visit()
    build_one(page)
    fill_contact(page)
    choose(page, "#id_consent")
    page.wait_for_load_state("networkidle")
    other = page.context.new_page()
    other.goto(page.url)
    open_all(other)
    other.locator("#id_consent").check()
    other.wait_for_load_state("networkidle")
    other.wait_for_timeout(500)
    page.get_by_role("button", name="Send it to the workshop").dblclick()
    page.wait_for_url("**/job/**")
    other.get_by_role("button", name="Send it to the workshop").click()
    other.wait_for_url("**/job/**")
    assert other.url == page.url
    assert (Job.objects.count(), SpecRevision.objects.count()) == (1, 1)


@pytest.mark.parametrize("width", [1280, 360])
def test_an_update_moves_nothing_under_the_finger(visit: Any, width: int) -> None:
    page = visit(viewport={"width": width, "height": 800})
    build_one(page)
    for selector in (
        'input[name="f-front-badge"][value="badge-front"]',
        'input[name="f-sides"]',
        'input[name="f-removals"][value="rear-badge-remove"]',
        'input[name="spacer"][value=""]',
    ):
        box = page.locator(selector).first
        reveal(page, selector)
        box.scroll_into_view_if_needed()
        box.focus()
        before = box.bounding_box()["y"]
        with page.expect_response(lambda r: r.request.method == "POST"):
            page.keyboard.press("Space")
        page.wait_for_load_state("networkidle")
        assert abs(box.bounding_box()["y"] - before) <= 1
        assert page.evaluate("document.activeElement.name") == box.get_attribute("name")


def test_a_closed_option_is_opened_by_keyboard(visit: Any) -> None:
    page = visit()
    build_one(page)
    choose(page, 'input[name="f-front-badge"][value="badge-front"]')
    reveal(page, 'input[value="front-badge-remove"]')
    closed = page.locator('input[value="front-badge-remove"]')
    expect(closed).to_be_disabled()
    button = page.locator("#state-front-badge-remove button")
    assert "Have it" in button.inner_text()
    button.focus()
    page.keyboard.press("Enter")
    expect(closed).to_be_checked(timeout=20_000)
    expect(closed).to_be_enabled()


def test_everything_is_reached_by_keyboard(visit: Any) -> None:
    page = visit()
    begin(page)
    seen = set()
    for _step in range(500):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('.part:not([open]) > summary')"):
            page.keyboard.press("Enter")
        name = page.evaluate("document.activeElement.name || document.activeElement.value || ''")
        seen.add(name)
        if page.evaluate("document.activeElement.value") == "send":
            break
    assert {"wheel", "tyre", "spacer", "accent", "photos", "name", "consent", "do"} <= seen
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"


def test_photos_with_progress_and_another_try(visit: Any) -> None:
    page = visit()
    begin(page)
    open_all(page)
    failures = []

    def break_once(route: Any) -> None:
        if not failures:
            failures.append(1)
            route.abort()
        else:
            route.continue_()

    page.route("**/photos/", break_once)
    page.set_input_files("#id_photos", [jpeg("left.jpg"), jpeg("right.jpg")])
    page.get_by_role("button", name="Try again").click()
    expect(page.locator(".photo img")).to_have_count(2, timeout=20_000)
    assert page.locator("#uploads li").count() == 0
    page.locator("[data-photo=remove]").first.click()
    expect(page.locator(".photo")).to_have_count(1, timeout=20_000)
    assert Photo.objects.count() == 1


def test_a_lost_connection_is_said_and_nothing_is_lost(visit: Any) -> None:
    page = visit()
    build_one(page)
    page.context.set_offline(True)
    page.locator('input[name="body_finish"][value="quay-blue"]').check()
    page.locator("#offline").wait_for(state="visible")
    page.context.set_offline(False)
    choose(page, 'input[name="spacer"][value=""]')
    page.locator("#offline").wait_for(state="hidden")
    assert Spec.objects.get().selection["body_finish"] == "quay-blue"


@pytest.mark.parametrize("width", [1280, 640, 360])
def test_no_page_is_wider_than_the_window(visit: Any, width: int) -> None:
    """640 px stands for 1280 px at 200 per cent zoom, as WCAG 2.2 1.4.4 and 1.4.10 reckon."""
    page = visit(viewport={"width": width, "height": 800})
    build_one(page)
    open_all(page)
    share = page.input_value("#id_share")
    for path in (page.url, "/", share, f"{page.url}compare/"):
        page.goto(path)
        if page.locator("#build").count():
            assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, path
            open_all(page)
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, path


def test_german_from_end_to_end(visit: Any) -> None:
    page = visit(locale="de-DE")
    page.goto("/")
    page.get_by_role("button", name="Mit dem Brannvik Haldor II beginnen").click()
    choose(page, WHEEL)
    choose(page, SPACER)
    assert page.locator("html").get_attribute("lang") == "de"
    assert "Braucht Schrauben mit 42 mm Schaft" in page.locator("#live-fit-front").inner_text()
    assert page.locator("#live-strip strong").inner_text().endswith("€")
    page.get_by_role("button", name="English").click()
    expect(page.locator("main")).to_contain_text("What it stands on")


def test_page_weight_before_photos(visit: Any) -> None:
    page = visit()
    sizes = {}
    page.on("response", lambda r: sizes.update({r.url: r.request.sizes()["responseBodySize"]}))
    build_one(page)
    page.wait_for_load_state("networkidle")
    sizes.clear()
    page.reload()
    page.wait_for_load_state("networkidle")
    fresh = visit()
    fresh.on("response", lambda r: sizes.update({r.url: r.request.sizes()["responseBodySize"]}))
    fresh.goto(page.url)
    fresh.wait_for_load_state("networkidle")
    total = sum(sizes.values())
    print({url.rsplit("/", 1)[-1] or "page": size for url, size in sizes.items()}, total)
    assert 20_000 < total < 200_000
