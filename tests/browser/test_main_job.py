"""The main job as three people see it: a customer sends, the workshop confirms, the customer follows."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from shop.models import Job, JobPart

from .conftest import settled, unfold

pytestmark = pytest.mark.browser


def build_van(page):
    """Choose black wheels with spacers, painted badges and calipers, and say who asks."""
    page.goto("/")
    page.get_by_role("button", name="Begin with the Brannvik Haldor II").click()
    page.wait_for_url("**/build/**")
    unfold(page)
    page.get_by_label("Quay blue").check()
    page.get_by_role("radio", name="Torvik 8×18 ET50 gloss black").first.check()
    page.get_by_role("radio", name="15 mm, slipped on").first.check()
    page.get_by_role("radio", name="Ember orange", exact=True).check()
    page.get_by_label("Front badge in colour", exact=False).first.check()
    page.get_by_label("Front calipers in colour").check()
    page.get_by_label("Your name").fill("Ida Holm")
    page.get_by_label("E-mail").fill("ida@customer.example")
    page.get_by_label("I have read this").check()


def send(page):
    page.get_by_role("button", name="Send it to the workshop").click()


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_spec_becomes_a_confirmed_job_that_the_customer_follows(visit, sign_in, script):
    customer = visit(java_script_enabled=script)
    build_van(customer)
    if script:
        settled(customer)
    else:
        # Without script the price of the last choices has not been seen yet: it is shown first.
        send(customer)
        expect(customer.locator("main")).to_contain_text("This is the new one")
    send(customer)
    customer.wait_for_url("**/job/**")
    job = Job.objects.get()
    expect(customer.locator("main")).to_contain_text(job.number)

    bolts = JobPart.objects.filter(kind="fastener")
    assert {part.facts["shank_mm"] for part in bolts} == {42.0}
    assert {part.facts["finish"] for part in bolts} == {"Gloss black"}

    workshop = sign_in("mira")
    workshop.goto(f"/workshop/jobs/{job.number}/review/")
    expect(workshop.locator("main")).to_contain_text("Torvik 8×18 ET50 gloss black")
    workshop.get_by_role("button", name="Take into review").click()
    workshop.get_by_role("button", name="Confirm this revision").click()
    expect(workshop.locator("main")).to_contain_text("Deposit due")
    job.refresh_from_db()
    assert job.state == "deposit_due"

    customer.reload()
    request = job.deposit_requests.get()
    expect(customer.locator("main")).to_contain_text(request.reference[-4:])
    expect(customer.locator("main")).to_contain_text("Deposit", ignore_case=True)
