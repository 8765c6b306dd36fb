"""The whole shop in a browser: two customers, two reviewers, a buyer, a technician and the manager.

From two builds to two handovers through pages alone, with two exceptions that would only be slow: of
each checklist the first steps, one out of order, every torque and the last are ticked in the browser and
the rest by ``bench.tick``, the function behind the same button; and nights pass by moving back when the
steps were done, since nobody waits for lacquer here. ``test_two_machines.py`` goes the same way where workers
keep the promises, so what follows a press is looked for again until it is there.
"""

from __future__ import annotations

import csv
import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from shop.jobs import bench
from shop.jobs.said import hold_of
from shop.models import Job, JobOperation, PurchaseOrder
from shop.planning.demo import make_demo_bays

from .conftest import PHONE, settled, unfold
from .test_customer import choose, jpeg

pytestmark = pytest.mark.browser
IDA, OTTO = "Ida Holm", "Otto Marten"
WHY = "Teal goes with your colour."
FOLLOWS_S = 60.0
"""How long what a worker does after a press may take to show."""


@dataclass
class Sent:
    """A customer at their page, and the job it tells of."""

    page: Page
    job: Job

    def sees(self, *words: str) -> None:
        """Look again, and find these words where the job stands."""
        look_again(self.page, *words)

    def now(self) -> Job:
        """Return the job as it is now."""
        self.job.refresh_from_db()
        return self.job


def look_again(page: Page, *words: str) -> None:
    """Load the page anew until all of these words are on it."""
    main, deadline = page.locator("main"), time.monotonic() + FOLLOWS_S
    page.reload()
    while not all(main.filter(has_text=each).count() for each in words) and time.monotonic() < deadline:
        page.wait_for_timeout(300)
        page.reload()
    for each in words:
        expect(page.locator("main")).to_contain_text(each)


def send_build(page: Page, vehicle: str, name: str, *choices: str) -> Sent:
    """Build one vehicle, say who asks, and send it."""
    page.goto("/")
    page.get_by_role("button", name=f"Begin with the {vehicle}").click()
    page.wait_for_url("**/build/**")
    unfold(page)
    for choice in choices:
        named = page.get_by_role("radio", name=choice, exact=True)
        (named if named.count() else page.get_by_label(choice)).first.check()
        settled(page)
    page.locator("#id_photos").set_input_files(jpeg("side.jpg"))
    shown(page.locator("#photo-list img"))
    page.get_by_label("Your name").fill(name)
    page.get_by_label("E-mail").fill(f"{name.split()[0].lower()}@customer.example")
    page.get_by_label("I have read this").check()
    settled(page)
    page.get_by_role("button", name="Send it to the workshop").click()
    page.wait_for_url("**/job/**")
    sent = Sent(page, Job.objects.get(revision__name=name))
    sent.sees("Thank you, your build is with us", sent.job.number)
    shown(page.locator("#own-list img"))
    return sent


def shown(image: Locator) -> None:
    """See that a photo is there, and that its file came as well."""
    image.first.scroll_into_view_if_needed(timeout=FOLLOWS_S * 1000)
    image.first.evaluate("e => e.decode()")


def papers(customer: Sent) -> None:
    """Every paper that the customer's page names comes as a PDF."""
    links = customer.page.locator("a[href*='/papers/']")
    assert links.count()
    for each in links.all():
        answer = customer.page.request.get(str(each.get_attribute("href")))
        assert (answer.status, answer.body()[:5]) == (200, b"%PDF-")


def review(page: Page, job: Job) -> None:
    page.goto(f"/workshop/jobs/{job.number}/review/")


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def both_take(first: Page, second: Page, job: Job) -> None:
    """Two reviewers have the same spec open and press the same button."""
    review(first, job)
    review(second, job)
    press(first, "Take into review")
    expect(first.locator("main")).to_contain_text("It is now “in review”")
    press(second, "Take into review")
    expect(second.locator("body")).to_contain_text(f"{job.number} is already “in review” (mira).")


def amend(page: Page, stale: Page, job: Job) -> None:
    """The first reviewer changes a colour, with a reason; the second still has the old revision open."""
    page.get_by_role("link", name="Change the build").click()
    press(page, "Choose on the customer’s page")
    choose(page, 'input[name="accent"][value="fjord-teal"]')
    settled(page)
    page.get_by_role("button", name="Back with these choices").first.click()
    page.wait_for_url("**/change/**")
    expect(page.locator("main")).to_contain_text("Fjord teal")
    press(page, "Make a new revision")
    expect(page.locator("main")).to_contain_text("Say why: the customer reads it beside the change.")
    page.get_by_label("Why is it changed?").fill(WHY)
    press(page, "Make a new revision")
    expect(page.locator("main")).to_contain_text("Revision 2 is made.")
    confirm(stale)
    expect(stale.get_by_role("alert")).to_contain_text("Not done.")
    job.refresh_from_db()
    assert (job.state, job.revision.number) == ("in_review", 2)


def confirm(page: Page) -> None:
    """Confirm, on condition that what is still to be measured fits."""
    page.get_by_label("On what condition, if any").fill("If the brakes clear when we hold a wheel against.")
    press(page, "Confirm this revision")


def look_at_difference(page: Page, job: Job) -> None:
    review(page, job)
    page.get_by_role("link", name="what changed").click()
    expect(page.locator("main")).to_contain_text(WHY)
    expect(page.get_by_role("row", name="Accent colour")).to_contain_text("Fjord teal")


def accept(customer: Sent) -> None:
    """The customer reads what was changed and says yes on the private link."""
    customer.sees("We have changed something and need your yes", WHY, "Ember orange", "Fjord teal")
    press(customer.page, "Accept this version")
    expect(customer.page.get_by_text("Tick this to accept.", exact=True)).to_be_visible()
    customer.page.get_by_label("I agree to this version at this price").check()
    press(customer.page, "Accept this version")
    expect(customer.page.locator("main")).to_contain_text("Thank you. You have accepted this version.")
    job = customer.now()
    assert (job.state, job.agreed_revision_id) == ("deposit_due", job.revision_id)


def statement_of(*jobs: Job) -> bytes:
    """Return one bank statement with the deposits of these jobs and something that is none."""
    out = StringIO()
    rows = csv.writer(out, delimiter=";")
    rows.writerow(["date", "amount", "currency", "name", "reference", "text", "bank_reference"])
    today = timezone.localdate().isoformat()
    for number, job in enumerate(jobs):
        request = job.deposit_requests.get()
        rows.writerow([today, request.amount, "EUR", job.revision.name, request.reference, "", f"B{number}"])
    rows.writerow([today, "75.00", "EUR", "Lena Roth", "", "Stickers, thank you", "B9"])
    return out.getvalue().encode()


def import_statement(page: Page, *customers: Sent) -> None:
    """The manager reads one file; both deposits find their jobs, the third sum waits for a person."""
    page.goto("/workshop/money/statements/")
    data = statement_of(*(customer.job for customer in customers))
    page.get_by_label("Statement").set_input_files(
        {"name": "statement.csv", "mimeType": "text/csv", "buffer": data}
    )
    press(page, "Look at it")
    press(page, "Take it into the books")
    expect(page.get_by_role("heading", name="statement.csv")).to_be_visible()
    for customer in customers:
        expect(page.get_by_role("row", name=customer.job.revision.name)).to_contain_text(customer.job.number)
        assert customer.now().state == "deposit_in"
    page.get_by_role("link", name="Not matched").click()
    expect(page.locator("main")).to_contain_text("Stickers, thank you")


def order_everything(page: Page) -> None:
    """The buyer presses one button a supplier until nothing is left to order."""
    page.goto("/workshop/parts/")
    button = page.get_by_role("button", name=re.compile("^Order from"))
    while button.count():
        button.first.click()
        expect(page.get_by_role("heading", name=re.compile("^PO-"))).to_be_visible()
        page.goto("/workshop/parts/")
    expect(page.locator("main")).to_contain_text("Nothing to order")


def receive_all(page: Page, order: PurchaseOrder) -> None:
    page.goto(f"/workshop/orders/{order.number}/")
    press(page, "Everything open came in")
    expect(page.get_by_text("closed", exact=True)).to_be_visible()


def receive_in_part(page: Page, order: PurchaseOrder) -> str:
    """Half of the first line comes in, and the maker has no more: the job that needs it is held."""
    page.goto(f"/workshop/orders/{order.number}/")
    short, *others = order.lines.order_by("position")
    page.get_by_label(f"{short.position}. ").fill(f"{short.quantity // 2:f}")
    for line in others:
        page.get_by_label(f"{line.position}. ").fill(f"{line.quantity.normalize():f}")
    page.get_by_label("Delivery note number").fill("LS 7")
    press(page, "Book in what I entered")
    expect(page.get_by_text("part received")).to_be_visible()
    page.get_by_text("Something is not coming").click()
    page.get_by_label("Why", exact=True).fill("Out of stock at the maker.")
    press(page, "The rest is not coming")
    expect(page.get_by_role("row", name=short.name).first).to_contain_text("Out of stock at the maker.")
    return short.name


def held_for(customer: Sent, buyer: Page, name: str) -> None:
    """The job is held for the part that will not come, on the buyer's list and on its own page."""
    customer.sees("The job is waiting at the moment.")
    job = customer.now()
    assert job.hold_id == "parts_short"
    assert name in hold_of(job)
    buyer.goto(f"/workshop/jobs/{job.number}/")
    expect(buyer.locator("main")).to_contain_text(f"{name} will not come as ordered")


def book(page: Page, *customers: Sent) -> None:
    """Plan anew, see both jobs in the plan, and book each."""
    page.goto("/workshop/plan/")
    press(page, "Plan anew")
    expect(page.locator("body")).to_contain_text("of 2 jobs.", timeout=FOLLOWS_S * 1000)
    for customer in customers:
        expect(page.locator(".plan")).to_contain_text(customer.job.number.rpartition("-")[2].lstrip("0"))
        page.goto(f"/workshop/jobs/{customer.job.number}/")
        press(page, "Book the planned dates")
        expect(page.locator("main")).to_contain_text("It is now “booked”")
        customer.sees("We expect you on", "Put it in your calendar")
        page.goto("/workshop/plan/")


def start(page: Page, job: Job) -> None:
    """The technician finds the job in the inbox and drives it in."""
    page.goto("/workshop/")
    page.get_by_role("link", name=job.number).or_(page.locator(f"a[href*='{job.number}']")).first.click()
    press(page, "Start work")
    expect(page.locator("main")).to_contain_text("It is now “in the bay”")


def measure_all(page: Page, job: Job) -> None:
    """Enter twice the room that is needed for everything the reviewer left to be measured."""
    page.goto(f"/workshop/jobs/{job.number}/bench/")
    forms = page.locator("#measure form")
    for number in range(forms.count()):
        form = forms.nth(number)
        form.locator("input[name=value]").fill("15")
        form.get_by_role("button").click()
        expect(forms.nth(number)).to_contain_text("Measured 15")


def at_step(page: Page, step: JobOperation) -> Any:
    """Open one step of the checklist."""
    page.goto(f"/workshop/jobs/{step.job.number}/bench/")
    found = page.locator(f"#step-{step.pk}")
    if found.locator("details.more").first.get_attribute("open") is None:
        found.locator("summary").first.click()
    return found


def tick(page: Page, step: JobOperation) -> None:
    press_done(at_step(page, step))
    expect(page.locator(f"#step-{step.pk}")).to_contain_text("Timo Brandt")


def press_done(step: Any) -> None:
    step.get_by_role("button", name="Done", exact=True).click()


def refuse_out_of_order(page: Page, step: JobOperation) -> None:
    """The last step first, without a reason: refused, and nothing is ticked."""
    press_done(at_step(page, step))
    expect(page.locator(f"#step-{step.pk}")).to_contain_text("Give a reason to go on out of order.")
    step.refresh_from_db()
    assert step.done_at is None


def tick_torque(page: Page, step: JobOperation) -> None:
    """One reading below the band is refused; one a fastener within it, all of them, is taken."""
    right = bench.band(step.torque_nm)
    good = [f"{value:g}" for value in (right.target, right.low, right.high)]
    form = at_step(page, step)
    for number in range(1, step.fastener_count + 1):
        wrong = number == 2
        form.get_by_label(str(number), exact=True).fill(f"{right.low - 1:g}" if wrong else good[number % 3])
    press_done(form)
    form = page.locator(f"#step-{step.pk}")
    expect(form).to_contain_text("Fastener 2")
    form.get_by_label("2", exact=True).fill(good[0])
    press_done(form)
    expect(page.locator(f"#step-{step.pk}")).to_contain_text("Timo Brandt")


def next_day(job: Job) -> None:
    """What was done today was done days ago: everything has dried."""
    for step in job.operations.exclude(done_at=None):
        step.done_at -= timedelta(days=4)
        step.save(update_fields=["done_at"])


def in_order(job: Job) -> list[JobOperation]:
    """Return the steps so that each comes after those it waits for."""
    left, found = list(job.operations.order_by("position")), []
    while left:
        known = {step.key for step in left}
        step = next(step for step in left if not known & set(step.after))
        left.remove(step)
        found.append(step)
    return found


def book_in(page: Page, job: Job) -> None:
    """Photos all round, a scratch on the picture, mileage and keys."""
    page.goto(f"/workshop/jobs/{job.number}/book-in/")
    for side in ("front", "left", "rear", "right"):
        page.locator("#photos").get_by_label("What it shows").select_option(side)
        page.locator("#photos").get_by_label("Photo", exact=True).set_input_files(jpeg(f"{side}.jpg"))
        press(page, "Keep the photo")
    page.locator("#condition").get_by_label("What it is").select_option("scratch")
    page.get_by_role("button", name="Square C4").click()
    expect(page.locator("#condition")).to_contain_text("C4: scratch")
    page.get_by_label("Mileage, km").fill("43210")
    page.get_by_label("Keys handed in").fill("2")
    page.get_by_label("Key of the locking bolts").select_option("here")
    press(page, "The vehicle is booked in")
    expect(page.locator("main")).to_contain_text("Booked in")


def work_through(page: Page, job: Job) -> None:
    """Tick the whole checklist in order, each night letting things dry."""
    steps = in_order(job)
    first, last = steps[:2], steps[-1]
    refuse_out_of_order(page, last)
    book_in(page, job)
    timo = User.objects.get(username="timo")
    for step in steps:
        if step in first or step == last:
            tick(page, step)
        elif step.torque_nm:
            tick_torque(page, step)
        else:
            bench.tick(job_id=job.pk, step_id=step.pk, by=timo)
        next_day(job)
    assert not job.operations.exclude(reason="").exists()


def make_ready(page: Page, job: Job) -> None:
    page.goto(f"/workshop/jobs/{job.number}/bench/")
    press(page, "Ready: call the customer")
    expect(page.locator("main")).to_contain_text("It is now “ready”")


def hand_over(page: Page, job: Job) -> None:
    """The balance is asked for, paid by card at the counter, and then the vehicle goes."""
    page.goto(f"/workshop/jobs/{job.number}/")
    expect(page.locator("#do-hand-over")).to_contain_text("of the price has not been paid")
    page.goto(f"/workshop/jobs/{job.number}/money/")
    press(page, "Book it")
    expect(page.locator("main")).to_contain_text("Payment booked")
    page.goto(f"/workshop/jobs/{job.number}/")
    press(page, "Hand over")
    expect(page.locator("main")).to_contain_text("It is now “handed over”")


def keep_apart(one: Sent, other: Sent) -> None:
    """A customer gets none of the other's page, papers or data, and none of the workshop's pages."""
    assert one.job.token not in other.page.content()
    assert other.job.revision.name not in one.page.content()
    crossed = f"/job/{one.job.token[:-4]}{other.job.token[-4:]}/"
    assert one.page.request.get(crossed).status == 404
    for address in ("", "jobs/", "money/", f"jobs/{one.job.number}/", f"jobs/{other.job.number}/papers/"):
        one.page.goto(f"/workshop/{address}")
        expect(one.page.get_by_label("Password")).to_be_visible()
    one.page.goto(f"/job/{one.job.token}/")


def test_two_customers_from_spec_to_handover(
    visit: Callable[..., Page], sign_in: Callable[..., Page]
) -> None:
    from_spec_to_handover(visit, sign_in)


def from_spec_to_handover(visit: Callable[..., Page], sign_in: Callable[..., Page]) -> None:
    """Go the whole way, on a site with the demonstration's catalogue and staff."""
    make_demo_bays()
    ida = send_build(
        visit(), "Brannvik Haldor II", IDA,
        "Quay blue", "Torvik 8×18 ET50 gloss black", "15 mm, slipped on", "Ember orange",
        "Front badge in colour", "Front calipers in colour",
    )  # fmt: skip
    otto = send_build(
        visit(viewport=PHONE), "Oustrel Vireo IV", OTTO, "Frostmere blue", "Front calipers in colour"
    )
    mira, jonas = sign_in("mira"), sign_in("jonas")
    anke, petra, timo = sign_in("anke"), sign_in("petra"), sign_in("timo", viewport=PHONE)

    both_take(mira, jonas, ida.job)
    shown(mira.locator("img[src*='/photos/']"))
    ida.sees("We are looking through your build")
    amend(mira, jonas, ida.job)
    look_at_difference(mira, ida.job)
    review(mira, ida.job)
    confirm(mira)
    accept(ida)

    review(jonas, otto.job)
    press(jonas, "Take into review")
    confirm(jonas)
    otto.sees("We have agreed. Now the deposit", otto.job.deposit_requests.get().reference[-4:])

    import_statement(anke, ida, otto)
    ida.sees("Your deposit is in")
    otto.sees("Your deposit is in")

    order_everything(petra)
    ida.sees("Your parts are on order")
    otto.sees("Your parts are on order")
    wheels = PurchaseOrder.objects.get(lines__name__startswith="Torvik")
    short = receive_in_part(petra, wheels)
    held_for(ida, petra, short)
    order_everything(petra)
    for order in PurchaseOrder.objects.exclude(state="closed"):
        receive_all(petra, order)
    for customer in (ida, otto):
        customer.sees("All parts are here")
        assert (customer.now().state, customer.job.is_held) == ("parts_in", False)

    book(mira, ida, otto)
    for customer in (ida, otto):
        start(timo, customer.job)
        customer.sees("Work in the bay")
        measure_all(timo, customer.job)
        work_through(timo, customer.job)
        make_ready(timo, customer.job)
        customer.sees("You collect it")
        hand_over(mira, customer.job)
        customer.sees("Handover pack")
        papers(customer)
    keep_apart(ida, otto)
    keep_apart(otto, ida)
