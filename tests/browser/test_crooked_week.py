"""A week in the workshop in which nothing goes straight, and at its end every sum and promise is right.

What is crooked is done by pages, as the people of the workshop and the customer would; what is straight
(sending, ticking, most payments) by the functions behind the buttons, since other tests press those.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect

from configurator.builds import sending
from configurator.builds import service as specs
from configurator.models import Workshop
from shop.jobs import agreement, bench, service
from shop.jobs.holds import measured
from shop.jobs.settled import to_measure
from shop.models import (
    Absence,
    BillingAddress,
    BrokenPromise,
    ClosedDay,
    GoodsNote,
    Invoice,
    Job,
    OutgoingMail,
    PurchaseLine,
    PurchaseOrder,
    StockLevel,
)
from shop.money.account import account
from shop.money.ledger import book_payment
from shop.parts.receiving import receive
from shop.parts.service import place_order, plan_orders
from shop.planning.demo import make_demo_bays, make_demo_people
from shop.planning.service import replan
from tests.builds.builds import harbour_van
from tests.shop.jobs.test_random_walk import check_job, check_stock
from tests.shop.money.camt_samples import statement, transfer

from .conftest import PHONE, settled
from .test_customer import choose
from .test_whole_shop import book_in, measure_all, press

pytestmark = pytest.mark.browser
UNDRAWN = "ristel-8x18-5x112-et50-satin-black"


def staff(name: str) -> User:
    return User.objects.get(username=name)


def sent(name: str) -> Job:
    """A customer's build, agreed to by both and waiting for its deposit."""
    build = harbour_van()
    # Wheels whose inside nobody has drawn: the room to the brakes is to be measured at the vehicle.
    axle = build.front.model_copy(update={"wheel": UNDRAWN, "spacer": None})
    build = build.model_copy(update={"front": axle, "rear": axle})
    spec = specs.start_build(generation=build.generation)
    specs.save_build(spec_id=spec.pk, selection=build)
    contact = sending.Contact(
        name=name, email=f"{name.split()[0].lower()}@customer.example", registration="XB-AB 12"
    )
    sending.send_build(spec_id=spec.pk, contact=contact, terms_version="1", terms_text="Terms.")
    job = Job.objects.get(spec=spec)
    service.take_into_review(job_id=job.pk, by=staff("mira"))
    agreement.agree_as_workshop(
        job_id=job.pk, revision_id=job.revision_id, by=staff("mira"), why="if it clears"
    )
    return now(job)


def now(job: Job) -> Job:
    return Job.objects.select_related("revision", "spec").get(pk=job.pk)


def read(page: Page, name: str, *entries: str) -> None:
    """Hand a statement in, look at it and take it into the books."""
    iban = Workshop.objects.get().iban.replace(" ", "")
    page.goto("/workshop/money/statements/")
    data = {
        "name": name,
        "mimeType": "application/xml",
        "buffer": statement(*entries, iban=iban, number=name),
    }
    page.get_by_label("Statement").set_input_files(data)  # type: ignore[arg-type]
    press(page, "Look at it")
    press(page, "Take it into the books")
    expect(page.get_by_role("heading", name=name)).to_be_visible()


def one_transfer_for_both(page: Page, one: Job, other: Job) -> str:
    """One movement pays the deposits of two jobs; the manager splits it. Return its amount."""
    sums = [account(job).deposit for job in (one, other)]
    amount = f"{sum(sums):.2f}"
    read(page, "one.xml", transfer(amount, name="Holm and Marten", text="both vans", bank_reference="B1"))
    page.goto("/workshop/money/unmatched/")
    page.get_by_text("It is for several jobs").click()
    for n, (job, share) in enumerate(zip((one, other), sums, strict=True)):
        page.locator(f"input[name^=share][name$='-{n}-job']").fill(job.number)
        page.locator(f"input[name^=share][name$='-{n}-amount']").fill(f"{share:.2f}")
    press(page, "Split it so")
    expect(page.locator("main")).to_contain_text("split over 2 jobs")
    assert [now(job).state for job in (one, other)] == ["deposit_in", "deposit_in"]
    return amount


def bounced(page: Page, amount: str, *jobs: Job) -> None:
    """The bank takes the transfer back: both jobs wait again, and both customers pay at the desk."""
    taken = {"name": "Holm and Marten", "text": "both vans", "day": f"{timezone.localdate()}"}
    read(page, "two.xml", transfer(amount, direction="DBIT", reversal=True, bank_reference="B2", **taken))
    assert {now(job).state for job in jobs} == {"deposit_due"}
    for job in jobs:
        page.goto(f"/workshop/jobs/{job.number}/money/")
        press(page, "Book it")
        expect(page.locator("main")).to_contain_text("Payment booked")
        assert now(job).state in ("deposit_in", "parts_on_order", "parts_in")


def order_all(by: User) -> None:
    for group in plan_orders():
        place_order(supplier=group.code, by=by)


def replaced(page: Page, part: str) -> None:
    """A part is discontinued: from goods-in it is had from another supplier, ordered there and received."""
    order = PurchaseOrder.objects.filter(lines__name__startswith=part).first()
    assert order is not None
    page.goto(f"/workshop/orders/{order.number}/")
    page.get_by_role("row", name=part).get_by_role("link", name="Replace it").first.click()
    other = page.get_by_label("Supplier").locator(f"option:not([value='{order.supplier}'])").first
    code = other.get_attribute("value")
    page.get_by_label("Supplier").select_option(code)
    page.get_by_label("Why it is replaced").fill("The maker has stopped making it.")
    press(page, "Replace it")
    expect(page.locator("main")).to_contain_text(part)
    order_all(staff("petra"))
    anew = PurchaseOrder.objects.filter(supplier=code, lines__name__startswith=part).last()
    assert anew is not None


def receive_all() -> None:
    for order in PurchaseOrder.objects.exclude(state="closed"):
        came = {line.pk: line.open for line in order.lines.all() if line.open > 0}
        receive(order_id=order.pk, quantities=came, by=staff("petra"))


def booked(page: Page, job: Job) -> None:
    page.goto(f"/workshop/jobs/{job.number}/dates/")
    page.get_by_role("link", name="Look at it").first.click()
    press(page, "Fix these dates")
    assert now(job).state == "booked"


def closed_and_ill(manager: Page, page: Page, job: Job) -> None:
    """The booked day is closed and somebody is ill: the broken promise is told, and a day fixed anew."""
    day = timezone.localtime(now(job).booked_start).date()
    manager.goto("/workshop/plan/people/")
    person = manager.locator("select[name=absence-person] option:not([value=''])").first
    manager.locator("select[name=absence-person]").select_option(person.get_attribute("value"))
    manager.locator("[name=absence-first_day]").fill(day.isoformat())
    manager.locator("[name=absence-last_day]").fill((day + timedelta(days=1)).isoformat())
    manager.locator("[name=absence-why]").fill("ill")
    press(manager, "Enter")
    assert Absence.objects.get().first_day == day
    manager.goto("/workshop/plan/setup/")
    manager.locator("[name=closed-day]").fill(day.isoformat())
    manager.locator("[name=closed-name]").fill("Burst pipe")
    manager.locator("form:has([name=closed-day])").get_by_role("button").click()
    expect(manager.locator("main")).to_contain_text("Burst pipe")
    assert ClosedDay.objects.filter(day=day).exists()
    replan()
    assert BrokenPromise.objects.filter(job=job, settled="").exists()
    page.goto("/workshop/")
    expect(page.locator("main")).to_contain_text("no longer keeps the fixed dates")
    mails = OutgoingMail.objects.filter(job=job, kind="dates_moved").count()
    booked_day = now(job).booked_start
    page.goto(f"/workshop/jobs/{job.number}/dates/")
    press(page, "Take the plan’s new dates")
    assert now(job).booked_start > booked_day
    assert not BrokenPromise.objects.filter(job=job, settled="").exists()
    assert OutgoingMail.objects.filter(job=job, kind="dates_moved").count() == mails, (
        "told when a person says so"
    )


def amended(page: Page, customer: Page, job: Job) -> None:
    """After the deposit the customer wants no rear badge: chosen on their page, agreed to by their link."""
    before = account(job).price
    page.goto(f"/workshop/jobs/{job.number}/change/")
    press(page, "Choose on the customer’s page")
    choose(page, 'input[name="f-rear-badge"][value=""]')
    settled(page)
    page.get_by_role("button", name="Back with these choices").first.click()
    page.get_by_label("Why is it changed?").fill("You would rather leave the rear badge.")
    press(page, "Propose it")
    expect(page.locator("main")).to_contain_text("waits for the customer")
    customer.goto(f"/job/{job.token}/")
    press(customer, "Yes, at this price")
    expect(customer.locator("main")).to_contain_text("Thank you. We do it.")
    assert account(now(job)).price < before


def found_at_strip_down(page: Page, customer: Page, job: Job) -> None:
    """The technician finds rust: described on the phone, agreed to by link, and only then done."""
    before = account(job).price
    page.goto(f"/workshop/jobs/{job.number}/changes/")
    page.get_by_label("What was found, and why it should be done").fill("The sill is rusted through.")
    page.get_by_label("What is done or charged").first.fill("Weld the sill")
    page.get_by_label("Hours of work").first.fill("2")
    press(page, "Propose it")
    expect(page.locator("main")).to_contain_text("waits for the customer")
    page.goto(f"/workshop/jobs/{job.number}/bench/")
    expect(page.locator("main")).to_contain_text("not to be done yet")
    assert not job.operations.filter(name="Weld the sill").exists()
    customer.goto(f"/job/{job.token}/")
    expect(customer.locator("main")).to_contain_text("The sill is rusted through.")
    press(customer, "Yes, at this price")
    expect(customer.locator("main")).to_contain_text("Thank you. We do it.")
    rate = Workshop.objects.get().labour_rate_per_h
    assert account(now(job)).price == before + 2 * rate
    assert job.operations.filter(name="Weld the sill", done_at=None).exists()


def measured_no(page: Page, job: Job) -> None:
    """A check measured "no" in the bay is no dead end: the ways on stand there, and measuring again helps."""
    assert to_measure(now(job)), "the demonstration's van leaves something to measure"
    page.goto(f"/workshop/jobs/{job.number}/bench/")
    form = page.locator("#measure form").first
    form.locator("input[name=value]").fill("36000")
    form.get_by_role("button").click()
    expect(page.locator("main")).to_contain_text("cannot be at a vehicle")
    page.locator("#measure form, form.card").first.locator("input[name=value]").fill("-3")
    page.locator("form.card").first.get_by_role("button").click()
    page.goto(f"/workshop/jobs/{job.number}/bench/")
    expect(page.locator("#measure")).to_contain_text("These are the ways on")
    assert "does not fit as measured" in measured(now(job))


def done(job: Job) -> None:
    """Tick what is left, each torque right, and call it ready."""
    for step in job.operations.filter(done_at=None):
        readings = (step.torque_nm,) * max(1, step.fastener_count) if step.torque_nm else ()
        bench.tick(
            job_id=job.pk, step_id=step.pk, by=staff("timo"), readings=readings, reason="dried overnight"
        )
    service.make_ready(job_id=job.pk, by=staff("timo"))


def walk_in(page: Page) -> Job:
    """A customer at the desk with a broken step: entered, confirmed, and in the plan without a deposit."""
    page.goto("/workshop/jobs/")
    page.get_by_role("link", name="Enter a job").click()
    page.get_by_label("Customer", exact=True).fill("Paula Brandt")
    page.get_by_label("E-mail").fill("paula@customer.example")
    page.get_by_label("Or any other vehicle").fill("Hand cart carrier, 2009")
    page.get_by_label("What is done or charged").first.fill("Weld the side step")
    page.get_by_label("Hours of work").first.fill("1.5")
    page.get_by_label("Price, tax included").first.fill("120")
    page.get_by_label("Deposit").fill("0")
    page.get_by_label("The customer has said yes").check()
    press(page, "Enter the job")
    press(page, "Confirm this revision")
    job = Job.objects.get(revision__name="Paula Brandt")
    assert (job.state, account(job).price) == ("parts_in", Decimal(120))
    return job


def handed_over(page: Page, job: Job) -> None:
    """The balance is paid at the counter, the vehicle goes, and the invoice is there with its number."""
    BillingAddress.objects.create(
        job=job, name=job.revision.name, street="Mill 1", postcode="50667", town="Köln"
    )
    page.goto(f"/workshop/jobs/{job.number}/money/")
    press(page, "Book it")
    expect(page.locator("main")).to_contain_text("Payment booked")
    page.goto(f"/workshop/jobs/{job.number}/")
    press(page, "Hand over")
    expect(page.locator("main")).to_contain_text("It is now “handed over”")
    invoice = Invoice.objects.get(job=job)
    assert (invoice.gross, invoice.due) == (account(now(job)).price, 0)
    assert invoice.net + invoice.tax + invoice.rounding == invoice.gross


def visited(page: Page, job: Job) -> Job:
    """It rattles: a warranty visit that points back, with nothing to pay."""
    page.goto(f"/workshop/jobs/{job.number}/")
    page.get_by_role("link", name="Enter a warranty visit or complaint").click()
    page.get_by_label("What the customer says is wrong").fill("It rattles at the rear.")
    page.get_by_label("What is done or charged").first.fill("Find the rattle")
    page.get_by_label("Hours of work").first.fill("1")
    press(page, "Enter the visit")
    expect(page.locator("main")).to_contain_text(job.number)
    press(page, "Confirm this revision")
    visit = Job.objects.get(entry__follows=job)
    assert (visit.state, account(visit).price) == ("parts_in", 0)
    return visit


def returned(page: Page, part: str) -> None:
    """What a job that was called off leaves on the shelf goes back to its supplier, who credits it."""
    line = PurchaseLine.objects.filter(name__startswith=part, received__gt=0, order__state="closed").first()
    assert line is not None
    order = line.order
    level = StockLevel.objects.get(sku=line.sku).quantity
    page.goto(f"/workshop/orders/{order.number}/")
    page.locator("details:has([name=trouble-quantity]) > summary").click()
    page.locator("[name=trouble-line]").select_option(str(line.pk))
    page.locator("[name=trouble-what]").select_option("returned")
    page.locator("[name=trouble-quantity]").fill("1")
    page.locator("[name=trouble-then]").select_option("credit")
    page.locator("form:has([name=trouble-quantity])").get_by_role("button").click()
    expect(page.locator("#goods")).to_contain_text("sent back from the shelf")
    assert StockLevel.objects.get(sku=line.sku).quantity == level - 1
    note = GoodsNote.objects.get(line=line, what="returned")
    page.goto("/workshop/orders/credits/")
    expect(page.locator("main")).to_contain_text(order.number)
    page.goto(f"/workshop/orders/{order.number}/")
    page.get_by_text("The credit note is here").click()
    form = page.locator(f"form[action*='/credit/{note.pk}/']")
    form.locator("[name$=number]").fill("CN-7")
    form.get_by_role("button").click()
    expect(page.locator("#goods")).to_contain_text("CN-7")
    note.refresh_from_db()
    assert (note.credit_number, note.credit_net) == ("CN-7", note.credit_due_net)


def everything_is_right() -> None:
    """Every ledger, stock count and promise, worked out anew in the plainest way."""
    for job in Job.objects.select_related("revision"):
        check_job(job)
    check_stock()
    assert not BrokenPromise.objects.filter(settled="").exists()
    assert sorted(Invoice.objects.values_list("number", flat=True)) == sorted(
        {invoice.number for invoice in Invoice.objects.all()}
    )


def test_a_crooked_week(visit: Callable[..., Page], sign_in: Callable[..., Page], site: Any) -> None:
    make_demo_bays()
    make_demo_people()
    Workshop.objects.update(tax_number="12/345/67890")
    mira, anke, petra = sign_in("mira"), sign_in("anke"), sign_in("petra")
    timo, customer = sign_in("timo", viewport=PHONE), visit(viewport=PHONE)
    for page in (mira, anke, petra, timo, customer):
        page.set_default_timeout(60_000)  # fixing dates makes the plan anew, here within the request
    ida, otto = sent("Ida Holm"), sent("Otto Marten")

    amount = one_transfer_for_both(anke, ida, otto)
    bounced(anke, amount, ida, otto)
    order_all(staff("petra"))
    replaced(petra, "Ristel")
    receive_all()
    assert {now(job).state for job in (ida, otto)} == {"parts_in"}
    booked(mira, ida)
    closed_and_ill(anke, mira, ida)
    amended(mira, customer, ida)
    assert now(ida).state == "booked", "the date stays fixed"

    order_all(staff("petra"))
    receive_all()
    replan()
    service.start_work(job_id=ida.pk, by=staff("timo"))
    book_in(timo, ida)
    found_at_strip_down(timo, customer, ida)
    measured_no(timo, ida)
    measure_all(timo, ida)
    done(ida)
    paula = walk_in(mira)
    handed_over(mira, ida)
    again = visited(mira, ida)

    service.cancel(job_id=otto.pk, by=staff("mira"), why="He has sold the van.")
    book_payment(
        job_id=paula.pk,
        amount=Decimal(120),
        received_on=timezone.localdate(),
        method="cash",
        by=staff("mira"),
    )
    returned(petra, "Ristel")
    assert now(again).state == now(paula).state == "parts_in"
    everything_is_right()
