"""From an empty database to a customer's job: after `setup` no file and no shell, nothing but pages."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from playwright.sync_api import Locator, Page, expect

from configurator.catalogue import snapshot
from configurator.catalogue.models import Generation
from shop.models import Job

from .conftest import settled
from .test_accessibility import check

pytestmark = pytest.mark.browser
VEHICLE = {
    "maker": "Tarnwick", "name": "Sedge van", "year_from": "2021", "max_speed_kmh": "180",
    "speedometer_reads_high_pct": "4", "axle_ratio_limit_pct": "3",
}  # fmt: skip
AXLE = {
    "original_wheel_width_in": "6.5", "original_wheel_diameter_in": "16", "original_wheel_offset_mm": "51",
    "original_tyre": "205/65R16C 107/105T", "axle_load_kg": "1500", "torque_nm": "180",
}  # fmt: skip
READ = {
    "bolt_count": "5", "bolt_circle_mm": "112", "spigot_diameter_mm": "66.6", "spigot_height_mm": "12",
    "thread": "M14x1.5", "seat": "cone60", "original_shank_mm": "27", "original_seat_thickness_mm": "13",
    "hub_thread_mm": "20", "free_depth_behind_hub_mm": "16", "strut_face_mm": "196 192 198",
    "arch_lip_mm": "115 112", "brake_envelope_mm": "178:-35 140:20 105:16", "arch_diameter_mm": "745",
    "original_track_mm": "1628",
}  # fmt: skip


@pytest.fixture
def said() -> StringIO:
    return StringIO()


@pytest.fixture
def site(transactional_db: None, live_server: Any, settings: Any, said: StringIO) -> str:
    """An empty site, just set up."""
    settings.SITE_URL = str(live_server.url)
    snapshot.forget()
    call_command("setup", email="chefin@werk.example", from_demo=True, stdout=said)
    return str(live_server.url)


@pytest.fixture
def manager(visit: Callable[..., Page], said: StringIO) -> Page:
    """The first manager, who has set a password by the link that the command printed."""
    link = re.search(r"/sign-in/set/\S+", said.getvalue())
    assert link
    page = visit()
    page.goto(link[0])
    for field in page.locator('input[type="password"]').all():
        field.fill("nine-green-anvils")
    page.get_by_role("button", name="Set the password").click()
    page.get_by_label("Username").fill("manager")
    page.get_by_label("Password").fill("nine-green-anvils")
    page.get_by_role("button", name="Sign in").click()
    return page


def go_on(page: Page, **fields: str) -> None:
    """Fill a step's fields and go on to what is missing next."""
    for name, value in fields.items():
        page.fill(f'[name="{name}"]', value)
    page.get_by_role("button", name="Save and go on").click()


def set_up(page: Page) -> None:
    """Go through what is missing, each step leading to the next."""
    expect(page.get_by_role("heading", level=1)).to_have_text("Open the shop")
    page.locator("#main").get_by_role("link", name="Name and address").click()
    go_on(page, name="Werk Eins", street="Am Hafen 1", postcode="20457", town="Hamburg",
          email="werk@eins.example", phone="+49 40 1")  # fmt: skip
    expect(page.get_by_role("heading", level=1)).to_have_text("Tax and rates")
    go_on(page, tax_rate_pct="19", labour_rate_per_h="88")
    go_on(page, iban="DE89370400440532013000")
    go_on(page, deposit_pct="30")
    page.fill('[name="terms"]', "Our own terms, checked.")
    page.fill('[name="terms_version"]', "1")
    page.get_by_label("We have had these texts checked").check()
    page.get_by_role("button", name="Save and go on").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Bays and hours")
    page.get_by_role("button", name="Enter these").click()


def enter_vehicle(page: Page) -> None:
    page.goto("/workshop/settings/catalogue/")
    page.locator("#main").get_by_role("link", name="Vehicles", exact=True).click()
    page.get_by_role("link", name="Enter a vehicle").first.click()
    for name, value in VEHICLE.items():
        page.fill(f'[name="{name}"]', value)
    page.select_option('[name="body_style"]', "van")
    page.select_option('[name="category"]', "N1")
    page.select_option('[name="drive"]', "front")
    for fact in ("Tailgate", "Standard bumper"):
        page.get_by_label(fact, exact=True).check()
    for position in ("front", "rear"):
        for name, value in AXLE.items():
            page.fill(f'[name="{position}_{name}"]', value)
        page.select_option(f'[name="{position}_property_class"]', "10.9")
    page.get_by_role("button", name="Save, live at once").click()


def measure(page: Page, number: int, more: dict[str, str]) -> None:
    page.get_by_role("link", name="Type in what was measured").nth(number).click()
    for name, value in {**READ, **more}.items():
        page.fill(f'[name="r-{name}"]', value)
    page.get_by_role("button", name="Keep, live at once").click()
    expect(page.locator(".messages")).to_contain_text("Kept, and live")


def pull(page: Page, handle: Locator, by_px: int) -> None:
    """Drag a handle along the picture, once its script is there to notice."""
    page.wait_for_load_state("load")
    box = handle.bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by_px, y, steps=4)
    with page.expect_response(lambda answer: "/draw/shown/" in answer.url):
        page.mouse.up()


def draw(page: Page) -> None:
    """Begin from the nearest body, pull it longer by its handle, set the wheelbase by number."""
    page.get_by_role("link", name="Draw it").click()
    before = float(page.input_value('[name="length_mm"]'))
    pull(page, page.locator('[data-sets="length_mm"]'), 20)
    assert float(page.input_value('[name="length_mm"]')) > before
    with page.expect_response(lambda answer: "/draw/shown/" in answer.url):
        page.fill('[name="wheelbase_mm"]', str(float(page.input_value('[name="wheelbase_mm"]')) + 40))
    expect(page.locator("#drawn svg").first).to_be_visible()
    page.get_by_role("button", name="Keep the drawing").click()
    expect(page.locator(".messages")).to_contain_text("The drawing is kept")


def look_at_prices(page: Page) -> None:
    """What came with the demonstration's prices is asked for before customers see them."""
    page.goto("/workshop/settings/")
    expect(page.locator("#main")).to_contain_text("The prices are the demonstration’s")
    page.goto("/workshop/settings/catalogue/")
    page.locator("#main").get_by_role("link", name="Prices", exact=True).click()
    expect(page.locator("table").first).to_be_visible()
    page.go_back()
    page.get_by_role("button", name="I have looked at the prices").click()


def test_an_owner_opens_and_a_customer_sends(manager: Page, visit: Callable[..., Page]) -> None:
    customer = visit()
    customer.goto("/")
    expect(customer.locator("#main")).to_contain_text("still setting this site up")
    check(customer)
    set_up(manager)
    enter_vehicle(manager)
    measure(manager, 0, {"lock_free_mm": "58 56"})
    measure(manager, 1, {})
    draw(manager)
    look_at_prices(manager)
    manager.goto("/workshop/settings/")
    expect(manager.locator("#main")).to_contain_text("Nothing is missing")
    manager.get_by_role("button", name="Open to customers").click()
    expect(manager.locator(".stamp")).to_contain_text("open to customers")

    customer.reload()
    customer.get_by_role("button", name="Begin with the Tarnwick Sedge van").click()
    customer.wait_for_url("**/build/**")
    customer.locator("#build details").evaluate_all("all => all.forEach(d => { d.open = true })")
    customer.get_by_role("radio", name="15 mm, slipped on").first.check()
    settled(customer)
    customer.fill("#id_name", "Ida Holm")
    customer.fill("#id_email", "ida@customer.example")
    customer.get_by_label("I have read this").check()
    settled(customer)
    customer.get_by_role("button", name="Send it to the workshop").click()
    customer.wait_for_url("**/job/**")
    job = Job.objects.get()
    assert job.revision.selection["generation"] == Generation.objects.get().code
    assert job.revision.selection["front"]["spacer"] == "sp-5x112-666-15"
    expect(customer.locator("#main")).to_contain_text(job.number)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 360])
def test_axe_finds_nothing_on_the_pages_of_setting_up(manager: Page, width: int, scheme: str) -> None:
    manager.set_viewport_size({"width": width, "height": 800})
    manager.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    if scheme == "dark":
        manager.goto("/workshop/settings/look/")
        manager.fill('[name="accent"]', "#7a1f5c")
        manager.get_by_role("button", name="Save and go on").click()
    for step in ("", "workshop/", "terms/", "places/", "people/", "look/", "catalogue/"):
        manager.goto(f"/workshop/settings/{step}")
        check(manager)
    manager.goto("/sign-in/account/")
    check(manager)
    enter_vehicle(manager)
    code = Generation.objects.get().code
    for page in ("", "add/", f"{code}/", f"{code}/front/measure/", f"{code}/draw/"):
        manager.goto(f"/workshop/vehicles/{page}")
        check(manager)
