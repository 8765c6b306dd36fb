"""A vehicle that is not listed: asked for by a customer, answered by staff, followed by a private link."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from shop.models import RequestEntry, VehicleRequest
from tests.browser.conftest import PHONE
from tests.shop.tracking.conftest import jpeg

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(
    "options", [{}, {"viewport": PHONE}, {"java_script_enabled": False}], ids=["desk", "phone", "no script"]
)
def test_a_vehicle_asked_for_and_answered(
    options: dict[str, object], tmp_path: Path, visit: Callable[..., Page], sign_in: Callable[..., Page]
) -> None:
    photo = tmp_path / "side.jpg"
    photo.write_bytes(jpeg().read())
    page = visit(**options)
    page.goto("/")
    page.locator('main a[href="/not-listed/"]').first.click()
    for name, text in (("maker", "Quillon"), ("model", "Marrow"), ("wish", "Black wheels."), ("name", "Ida")):
        page.fill(f'[name="{name}"]', text)
    page.set_input_files('[name="photos"]', str(photo))
    send = page.get_by_role("button", name="Send it to the workshop")
    send.click()
    # No way to answer, no consent: each says so beside its field, and nothing typed is lost.
    expect(page.locator('[name="maker"]')).to_have_value("Quillon")
    expect(page.locator('[name="consent"][aria-invalid="true"]')).to_be_visible()
    assert not VehicleRequest.objects.filter(state=VehicleRequest.State.OPEN).exists()
    page.fill('[name="email"]', "ida@customer.example")
    page.check('[name="consent"]')
    send.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Your request is with us")
    asked = VehicleRequest.objects.get(state=VehicleRequest.State.OPEN)

    mira = sign_in("anke")
    mira.goto(f"/workshop/requests/{asked.pk}/")
    expect(mira.locator("main")).to_contain_text("Black wheels.")
    mira.locator("#answer textarea").fill("Which year is it?")
    mira.get_by_role("button", name="Send the answer").click()
    expect(mira.locator("main")).to_contain_text("Which year is it?")
    assert RequestEntry.objects.filter(request=asked, text="Which year is it?").count() == 1

    page.goto(f"/not-listed/{asked.token}/")  # the link in the mail
    expect(page.locator("main")).to_contain_text("Quillon Marrow")
    expect(page.locator("main")).to_contain_text("Which year is it?")
