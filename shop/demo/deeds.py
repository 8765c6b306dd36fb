"""What customers and staff do in the demonstration's month: each through the service a page would call."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from io import BytesIO

from django.contrib.auth.models import User
from django.utils import timezone
from django.utils.translation import override

from configurator.builds import photos, service
from configurator.builds.selection import Selection
from configurator.builds.sending import send_build
from configurator.catalogue import snapshot
from configurator.outbox import service as outbox
from configurator.outbox.models import OutboxEntry
from configurator.pages.told import told
from shop.jobs import bench, measuring
from shop.jobs import service as jobs
from shop.jobs.agreement import agree_as_customer, agree_as_workshop
from shop.jobs.models import Job, JobOperation
from shop.jobs.press import new_key
from shop.jobs.settled import ToMeasure, direction, to_measure
from shop.jobs.states import State
from shop.money.account import account
from shop.money.addresses import keep_address
from shop.money.invoices import issue_invoice
from shop.money.ledger import book_payment
from shop.parts import ordering, placing, receiving, sending
from shop.parts.correspondence import OrderAnswer
from shop.parts.models import PurchaseOrder
from shop.planning.booking import fix_dates
from shop.planning.dates import free_dates

from .builds import Sent
from .clock import at
from .photos import photo_of

PLAN = "replan"


def moment(days_ago: float, hour: int = 10, minute: int = 0) -> datetime:
    """Return a time of day so many days before today; never one to come."""
    day = timezone.localdate() - timedelta(days=days_ago)
    found = timezone.make_aware(datetime.combine(day, time(hour, minute)))
    return min(found, timezone.now() - timedelta(minutes=2))


def keep_promises() -> None:
    """Keep what was promised, at the time on the clock, the plan aside: it is made once, at the end."""
    for _round in range(5):
        waiting = OutboxEntry.objects.filter(state=OutboxEntry.State.WAITING).exclude(kind=PLAN)
        ids = list(waiting.order_by("pk").values_list("pk", flat=True))
        kept = [entry_id for entry_id in ids if outbox.keep(entry_id)]
        if not kept:
            return


class Staff:
    """The demonstration's people by what they do."""

    def __init__(self) -> None:
        names = {"reviewer": "mira", "buyer": "petra", "technician": "timo", "manager": "anke"}
        users = {user.username: user for user in User.objects.filter(username__in=names.values())}
        self.reviewer, self.buyer = users["mira"], users["petra"]
        self.technician, self.manager = users["timo"], users["anke"]


def send(sent: Sent, when: datetime) -> Job:
    """A customer builds, adds photos and sends."""
    with at(when), override(sent.language):
        spec = service.start_build(generation=sent.selection.generation, language=sent.language)
        service.save_build(spec_id=spec.pk, selection=sent.selection)
        for number in range(sent.photos):
            view = ("side", "front", "rear")[number % 3]
            file = BytesIO(photo_of(sent.selection, view=view, as_it_came=True))
            photos.add_photo(spec_id=spec.pk, file=file, label=f"{number + 1}.jpg")
        workshop = snapshot.current().workshop
        result = send_build(
            spec_id=spec.pk,
            contact=sent.contact,
            terms_version=workshop.terms_version if workshop else "",
            terms_text=told(workshop.terms) if workshop else "",
        )
        keep_promises()
    return Job.objects.get(revision=result.revision)


def agree(job: Job, staff: Staff, when: datetime) -> None:
    """The workshop looks it through and says yes; the customer's yes came with the build."""
    with at(when):
        if job.state == State.SENT:
            jobs.take_into_review(job_id=job.pk, by=staff.reviewer)
        job.refresh_from_db()
        condition = "Measured when the vehicle comes." if _open_rows(job) else ""
        agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=staff.reviewer, why=condition)
        if job.customer_agreed_revision_id != job.revision_id:
            agree_as_customer(job_id=job.pk, revision_id=job.revision_id)
        keep_promises()


def _open_rows(job: Job) -> bool:
    return any(each.verdict != "fits" for each in to_measure(job))


def pay(job: Job, staff: Staff, when: datetime, *, method: str = "transfer") -> None:
    """What is asked for comes in."""
    with at(when):
        amount = account(Job.objects.get(pk=job.pk)).outstanding
        if amount > 0:
            book_payment(
                job_id=job.pk, amount=amount, received_on=timezone.localdate(), method=method,
                by=staff.manager, press=new_key(),
            )  # fmt: skip
        keep_promises()


def order(job: Job, staff: Staff, when: datetime) -> list[PurchaseOrder]:
    """Everything the job lacks is ordered, a supplier at a time, and mailed."""
    placed = []
    with at(when):
        for group in ordering.plan_orders():
            made = placing.place_order(supplier=group.code, by=staff.buyer, press=new_key())
            sending.send_by_mail(order_id=made.pk, by=staff.buyer, press=new_key())
            placed.append(made)
        keep_promises()
        if not placed:
            jobs.parts_arrived(job_id=job.pk, by=staff.buyer)
            keep_promises()
    return placed


Placed = Iterable[PurchaseOrder]


def come(placed: Placed, staff: Staff, when: datetime) -> None:
    """All that was ordered comes in."""
    with at(when):
        for one in placed:
            lines = {line.pk: line.open for line in one.lines.all()}
            receiving.receive(
                order_id=one.pk, quantities=lines, by=staff.buyer, press=new_key(),
                delivery_note=f"LS-{one.pk:04d}",
            )  # fmt: skip
        keep_promises()


def answer(placed: Placed, staff: Staff, when: datetime, said: str, day: date | None) -> None:
    """A supplier says what becomes of an order."""
    with at(when):
        for one in placed:
            sending.note_answer(order_id=one.pk, said=said, by=staff.buyer, press=new_key(), day=day)
        keep_promises()


LATER = OrderAnswer.Said.LATER
CONFIRMED = OrderAnswer.Said.CONFIRMED


def book(job: Job, staff: Staff, when: datetime, first: date) -> date:
    """The job gets the first day that is free from ``first`` on, and the customer is told; return it."""
    with at(when):
        found = free_dates(Job.objects.get(pk=job.pk), timezone.now(), first=first, count=1)
        fix_dates(job_id=job.pk, day=found[0].day, by=staff.reviewer, tell=True, short_notice=True)
        keep_promises()
    return found[0].day


def begin_work(job: Job, staff: Staff, when: datetime) -> None:
    """The vehicle is in the bay, and what had to be measured is."""
    with at(when):
        jobs.start_work(job_id=job.pk, by=staff.technician)
        job.refresh_from_db()
        for each in to_measure(job):
            row = each.row
            measuring.measure(
                job_id=job.pk, axle=row.axle, check_id=row.id, uncertainty=0.5, by=staff.technician,
                value=_fitting(each), note="",
            )  # fmt: skip
        keep_promises()


def _fitting(each: ToMeasure) -> float:
    """Return a value that says it fits: the limit, and as much room beyond it as leaves no doubt."""
    return float(each.row.limit or 0) + direction(each.row) * max(2.0, each.row.tolerance or 0)


def work(job: Job, staff: Staff, when: datetime, *, share: float = 1.0) -> None:
    """Steps are ticked in their order, each when its hands are off; a photo of the vehicle with some."""
    steps = list(job.operations.all())
    done = steps[: round(len(steps) * share)]
    selection = Selection.model_validate(job.revision.selection)
    clock = when
    for number, step in enumerate(done):
        clock += timedelta(hours=step.hands_on_h)
        with at(min(clock, timezone.now())):
            _tick(job, step, staff, photo=_photo_for(selection, number, len(steps)))
        clock += timedelta(hours=step.wait_h)
    with at(min(clock, timezone.now())):
        keep_promises()


def _photo_for(selection: Selection, number: int, count: int) -> bytes:
    if number == 0:
        return photo_of(selection, as_it_came=True)
    return photo_of(selection) if number == count - 1 else b""


def _tick(job: Job, step: JobOperation, staff: Staff, photo: bytes) -> None:
    count = step.fastener_count or 5
    torque = step.torque_nm
    bench.tick(
        job_id=job.pk, step_id=step.pk, by=staff.technician, photo=photo, photo_for_customer=bool(photo),
        readings=tuple([torque] * count) if torque else (), reason="Done together with the step before.",
    )  # fmt: skip


def make_ready(job: Job, staff: Staff, when: datetime) -> None:
    """All is done: the customer is called."""
    with at(when):
        jobs.make_ready(job_id=job.pk, by=staff.technician)
        keep_promises()


def hand_over(job: Job, staff: Staff, when: datetime) -> None:
    """The rest is paid at the counter and the vehicle goes; the invoice follows."""
    pay(job, staff, when, method="card")
    with at(when + timedelta(minutes=5)):
        jobs.hand_over(job_id=job.pk, by=staff.reviewer)
        address = {"street": "Lindenhof 8", "postcode": "50667", "town": "Köln", "country": "DE"}
        keep_address(job_id=job.pk, by="customer", address={"name": job.revision.name, **address})
        issue_invoice(job_id=job.pk, by=staff.manager, press=new_key())
        keep_promises()
