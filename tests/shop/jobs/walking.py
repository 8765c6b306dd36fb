"""A workshop that does whatever comes, at random: every deed of every room, refused or not."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from configurator.builds.selection import Selection
from configurator.builds.sending import Contact
from configurator.outbox.models import OutboxEntry
from shop.jobs import agreement, answering, bench, bookin, changes, desk, service
from shop.jobs.entering import NewJob, Written, enter_job
from shop.jobs.errors import JobError
from shop.jobs.followups import follow_up
from shop.jobs.states import CLOSED, State
from shop.models import (
    Invoice,
    Job,
    JobPart,
    Payment,
    Proposal,
    PurchaseLine,
    PurchaseOrder,
    Receipt,
    Refund,
)
from shop.money.account import account
from shop.money.addresses import keep_address
from shop.money.invoices import credit_invoice, issue_invoice
from shop.money.ledger import PaymentError, book_payment, withdraw_refund
from shop.money.reductions import reduce_price
from shop.money.refunds import decide_owed, decide_refund, mark_refund_paid
from shop.money.undoing import undo_payment
from shop.parts.goods import COMES_AGAIN, CREDIT, GoodsError, Trouble, note_trouble, undo_receipt
from shop.parts.progress import keep_progress
from shop.parts.putting_back import put_back, surplus_parts
from shop.parts.receiving import ReceiptError, close_line, receive
from shop.parts.replacing import Instead, ReplaceError, replace
from shop.parts.service import NothingToOrderError, place_order, plan_orders
from shop.parts.stock import StockError
from tests.builds.builds import harbour_van
from tests.shop import factories
from tests.shop.money.test_invoices import ADDRESS

from . import measuring

REFUSALS = (JobError, PaymentError, NothingToOrderError, ReceiptError, ReplaceError, StockError, GoodsError)
TRIES = 30
IDA = Contact(name="Ida Sommer", email="ida@customer.example", registration="XB-AB 12")


class Workshop:
    """One random walk; ``done`` counts the deeds that were not refused."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.boss = factories.staff("manager", "reviewer", "buyer", "technician", name=f"boss-{seed}")
        self.presses = 0
        self.done: Counter[str] = Counter()
        self.deeds = [name for name in dir(self) if name.startswith("do_")]

    def press(self) -> str:
        self.presses += 1
        return f"walk-{self.boss.pk}-{self.presses}"

    def one(self, rows: Any) -> Any:
        found = list(rows.order_by("pk"))
        return self.random.choice(found) if found else None

    def job(self, *states: str) -> Job | None:
        """Return any open job, or one in these states; the state is no promise that the deed is possible."""
        rows = Job.objects.exclude(state__in=CLOSED)
        return self.one(rows.filter(state__in=states) if states else rows)

    def step(self) -> str:
        """Do one thing at random, trying until one is possible, and what it promised about parts."""
        for _ in range(TRIES):
            name = self.random.choice(self.deeds)
            if self.tried(getattr(self, name), name):
                break
        self.keep_promises()
        return name

    def tried(self, deed: Callable[[], Any], name: str) -> bool:
        try:
            if not deed():
                return False
        except REFUSALS:
            return False
        self.done[name] += 1
        return True

    def keep_promises(self) -> None:
        """Do what waits in the outbox about parts, as a worker would; mail and plans are left waiting."""
        for entry in OutboxEntry.objects.filter(kind="parts_progress", state="waiting").order_by("pk"):
            keep_progress(entry.payload)
            OutboxEntry.objects.filter(pk=entry.pk).update(state="done")

    def written(self) -> Written:
        hours = self.random.choice([0.5, 1.0, 2.5])
        wheels = self.random.choice([(), (), (("front", 160.0, 10),), (("rear", 140.0, 10),)])
        kind = self.random.choice(["repair", "dipping", "fitting"])
        amount = Decimal(self.random.randint(0, 40_000)) / 100
        return Written(f"Work {self.presses}", amount, kind=kind, hands_on_h=hours, wheels=wheels)

    # jobs that come in

    def do_send(self) -> Any:
        if Job.objects.exclude(state__in=CLOSED).count() > 8:
            return None
        row = factories.fit_row(verdict=self.random.choice(["fits", "measure"]))
        return factories.job(factories.evaluation(row))

    def do_enter(self) -> Any:
        if Job.objects.exclude(state__in=CLOSED).count() > 8:
            return None
        new = NewJob(
            contact=IDA, lines=(self.written(),), vehicle="Old tractor",
            deposit=self.random.choice([None, Decimal(0)]), customer_asked=self.random.random() < 0.5,
        )  # fmt: skip
        return enter_job(new=new, by=self.boss, press=self.press())

    def do_follow(self) -> Any:
        first = self.one(Job.objects.filter(state=State.HANDED_OVER))
        if first is None or Job.objects.exclude(state__in=CLOSED).count() > 8:
            return None
        lines = (Written("Look at it again", Decimal(0), hands_on_h=0.5),)
        return follow_up(
            job_id=first.pk,
            kind="warranty",
            notes="It rattles.",
            lines=lines,
            by=self.boss,
            press=self.press(),
        )

    # from review to the deposit

    def do_take(self) -> Any:
        job = self.job("sent", "waiting")
        return job and service.take_into_review(job_id=job.pk, by=self.boss)

    def do_confirm(self) -> Any:
        job = self.job("in_review")
        return job and agreement.agree_as_workshop(
            job_id=job.pk, revision_id=job.revision_id, by=self.boss, why="if it measures"
        )

    def do_yes(self) -> Any:
        job = self.job("waiting", "in_review")
        return job and desk.agree_by_telephone(
            job_id=job.pk, revision_id=job.revision_id, by=self.boss, said_by="Ida"
        )

    def do_reopen(self) -> Any:
        if self.random.random() < 0.7:
            return None
        job = self.job("agreed", "deposit_due")
        return job and service.reopen(job_id=job.pk, by=self.boss, why="once more")

    # money

    def do_pay(self) -> Any:
        job = self.job()
        if job is None:
            return None
        now = account(job)
        amount = self.random.choice([now.outstanding, now.outstanding, now.rest, Decimal("33.33")])
        day = timezone.localdate()
        return book_payment(
            job_id=job.pk, amount=amount, received_on=day, method="cash", by=self.boss, press=self.press()
        )

    def do_bounce(self) -> Any:
        payment = self.one(Payment.objects.filter(amount__gt=0)) if self.random.random() < 0.3 else None
        return payment and undo_payment(payment_id=payment.pk, by=self.boss, note="bounced", bounced=True)

    def do_reduce(self) -> Any:
        job = self.job() if self.random.random() < 0.3 else None
        # Now and then nearly all of it: a change may leave less than was taken off.
        most = int(account(job).price * 100) if job and self.random.random() < 0.2 else 3000
        amount = Decimal(self.random.randint(1, max(1, most))) / 100
        return job and reduce_price(
            job_id=job.pk, amount=amount, why="goodwill", by=self.boss, press=self.press()
        )

    def do_refund(self) -> Any:
        job = self.one(Job.objects.all()) if self.random.random() < 0.3 else None
        over = account(job).over if job else Decimal(0)
        return over and decide_refund(
            job_id=job.pk, amount=over, why="too much", by=self.boss, press=self.press()
        )

    def do_withdraw_refund(self) -> Any:
        refund = self.one(Refund.objects.filter(paid_on=None, withdrawn_at=None))
        if refund is None or self.random.random() < 0.7:
            return None
        return withdraw_refund(refund_id=refund.pk, by=self.boss, why="not yet")

    def do_decide_owed(self) -> Any:
        job = self.one(Job.objects.filter(state__in=("cancelled", "declined")))
        if job is None or self.random.random() < 0.5:
            return None
        owed = Decimal(self.random.randint(0, int(account(job).price * 100))) / 100
        return decide_owed(job_id=job.pk, owed=owed, why="agreed", by=self.boss, press=self.press())

    def do_invoice(self) -> Any:
        job = self.one(Job.objects.filter(state__in=("ready", "handed_over", "cancelled")))
        if job is None:
            return None
        keep_address(job_id=job.pk, by="customer", address=ADDRESS)
        return issue_invoice(job_id=job.pk, by=self.boss, press=self.press())

    def do_credit(self) -> Any:
        invoice = self.one(Invoice.objects.filter(kind="invoice")) if self.random.random() < 0.3 else None
        return invoice and credit_invoice(
            invoice_id=invoice.pk, by=self.boss, why="wrong name", press=self.press()
        )

    def do_pay_out(self) -> Any:
        refund = self.one(Refund.objects.filter(paid_on=None, withdrawn_at=None))
        return refund and mark_refund_paid(refund_id=refund.pk, paid_on=timezone.localdate(), by=self.boss)

    # parts

    def do_order(self) -> Any:
        needs = plan_orders()
        if not needs:
            return None
        return place_order(supplier=self.random.choice(needs).code, by=self.boss, press=self.press())

    def do_receive(self) -> Any:
        order = self.one(PurchaseOrder.objects.exclude(state="closed"))
        if order is None:
            return None
        some = {line.pk: line.open for line in order.lines.all() if line.open > 0}
        if self.random.random() < 0.3:
            some = dict(list(some.items())[:1])
        if self.random.random() < 0.3:
            some = {pk: quantity + 1 for pk, quantity in some.items()}
        return receive(order_id=order.pk, quantities=some, by=self.boss, press=self.press(), surplus="keep")

    def do_undo_receipt(self) -> Any:
        receipt = self.one(Receipt.objects.filter(undone_at=None)) if self.random.random() < 0.3 else None
        return receipt and undo_receipt(receipt_id=receipt.pk, why="another order's", by=self.boss)

    def do_send_back(self) -> Any:
        line = self.one(PurchaseLine.objects.all()) if self.random.random() < 0.4 else None
        if line is None:
            return None
        what = self.random.choice(["damaged", "wrong", "returned", "returned"])
        trouble = Trouble(what, Decimal(self.random.randint(1, 4)), self.random.choice([COMES_AGAIN, CREDIT]))
        return note_trouble(
            order_id=line.order_id, line_id=line.pk, trouble=trouble, by=self.boss, press=self.press()
        )

    def open_line(self) -> PurchaseLine | None:
        order = self.one(PurchaseOrder.objects.exclude(state="closed"))
        lines = [line for line in order.lines.all() if line.open > 0] if order else []
        return self.random.choice(lines) if lines and self.random.random() < 0.3 else None

    def do_not_coming(self) -> Any:
        line = self.open_line()
        return line and close_line(order_id=line.order_id, line_id=line.pk, why="discontinued")

    def do_replace(self) -> Any:
        line = self.open_line()
        instead = Instead(supplier="torvik", unit_cost_net=Decimal("99.00"), lead_time_days=3)
        return line and replace(
            line_id=line.pk, instead=instead, why="discontinued", by=self.boss, press=self.press()
        )

    def do_put_back(self) -> Any:
        part = self.one(JobPart.objects.filter(issued__gt=0))
        left = {p.pk: n for p, n in surplus_parts(part.job)} if part else {}
        if part is None or part.pk not in left:
            return None
        return put_back(part_id=part.pk, quantity=left[part.pk], issued=part.issued, by=self.boss)

    # dates and work

    def do_book(self) -> Any:
        job = self.job("parts_in")
        if job is None:
            return None
        start = timezone.now() + timedelta(days=2)
        times = {"planned_start": start, "planned_end": start, "planned_free": start + timedelta(hours=4)}
        job.operations.filter(done_at=None).update(**times)
        return service.book(job_id=job.pk, by=self.boss)

    def do_unbook(self) -> Any:
        job = self.job("booked") if self.random.random() < 0.3 else None
        return job and service.unbook(job_id=job.pk, by=self.boss, why="closed day", tell=True)

    def do_start(self) -> Any:
        job = self.job("booked")
        return job and service.start_work(job_id=job.pk, by=self.boss)

    def do_book_in(self) -> Any:
        job = self.job("in_the_bay", "booked")
        readings = bookin.Readings(40_000 + self.presses, 1, "none", photos_why="rain")
        return job and bookin.complete(job_id=job.pk, readings=readings, by=self.boss, sure=True)

    def do_tick(self) -> Any:
        job = self.job("in_the_bay")
        step = job.operations.filter(done_at=None).first() if job else None
        if job is None or step is None:
            return None
        readings = (step.torque_nm,) * max(1, step.fastener_count) if step.torque_nm else ()
        return bench.tick(
            job_id=job.pk, step_id=step.pk, by=self.boss, readings=readings, reason="in a hurry"
        )

    def do_untick(self) -> Any:
        job = self.job("in_the_bay") if self.random.random() < 0.2 else None
        step = job.operations.exclude(done_at=None).last() if job else None
        return job and step and bench.undo(job_id=job.pk, step_id=step.pk, by=self.boss, reason="not so")

    def do_measure(self) -> Any:
        job = self.job("in_the_bay")
        return job and self.measure(job)

    def measure(self, job: Job, value: float | None = None) -> bool:
        """Measure what the build asks for; small values say no."""
        found = measuring.waiting(job)
        if not found:
            return False
        row = found[0].row
        value = self.random.choice([4.0, 9.0, 9.0]) if value is None else value
        measuring.measure(
            job_id=job.pk, axle=row.axle, check_id=row.id, value=value, uncertainty=0.5, by=self.boss
        )
        return True

    def do_ready(self) -> Any:
        job = self.job("in_the_bay")
        return job and service.make_ready(job_id=job.pk, by=self.boss)

    def do_back(self) -> Any:
        job = self.job("ready") if self.random.random() < 0.3 else None
        return job and service.back_in_the_bay(job_id=job.pk, by=self.boss, why="a scratch")

    def do_hand_over(self) -> Any:
        job = self.job("ready")
        return job and service.hand_over(job_id=job.pk, by=self.boss, why="pays tomorrow")

    # changes

    def do_propose(self) -> Any:
        job = self.job()
        if job is None:
            return None
        lines = list(job.lines.filter(state="in force").values_list("number", flat=True))
        drop = tuple(lines[:1]) if self.random.random() < 0.3 else ()
        wanted = changes.Wanted(add=(self.written(),), drop=drop)
        if self.random.random() < 0.3 and job.revision.selection["generation"] == "haldor-2":
            wanted = changes.Wanted(selection=self.other_build())
        return changes.propose(job_id=job.pk, wanted=wanted, why="found", by=self.boss, press=self.press())

    def other_build(self) -> Selection:
        """Return one of two real builds of the demonstration's van."""
        build = harbour_van()
        bare = build.front.model_copy(update={"spacer": None})
        without = build.model_copy(update={"front": bare, "rear": bare})
        return self.random.choice([build, without])

    def do_agree(self) -> Any:
        proposal = self.one(Proposal.objects.filter(state="open"))
        return proposal and answering.agree(proposal_id=proposal.pk, by="customer")

    def do_refuse(self) -> Any:
        proposal = self.one(Proposal.objects.filter(state="open"))
        return proposal and answering.refuse(proposal_id=proposal.pk, by="customer")

    def do_withdraw(self) -> Any:
        proposal = self.one(Proposal.objects.filter(state="open"))
        return proposal and answering.withdraw(proposal_id=proposal.pk, by=self.boss, why="only dirt")

    # off

    def do_cancel(self) -> Any:
        job = self.job() if self.random.random() < 0.15 else None
        return job and service.cancel(job_id=job.pk, by=self.boss, why="sold it")

    def do_decline(self) -> Any:
        job = self.job() if self.random.random() < 0.1 else None
        return job and service.decline(job_id=job.pk, by=self.boss, why="no room")

    def do_hold(self) -> Any:
        job = self.job() if self.random.random() < 0.3 else None
        return job and service.hold(job_id=job.pk, by=self.boss, reason="ill")

    def do_release(self) -> Any:
        job = self.one(Job.objects.exclude(on_hold_reason="").exclude(state__in=CLOSED))
        return job and service.release(job_id=job.pk, by=self.boss)

    # the end

    def finish(self, job: Job) -> None:
        """Bring a job to its end by what anybody at the desk and in the bay may do."""
        if job.state not in (State.IN_THE_BAY, State.READY):
            service.cancel(job_id=job.pk, by=self.boss, why="the walk is over")
            return
        for proposal in job.proposals.filter(state="open"):
            answering.withdraw(proposal_id=proposal.pk, by=self.boss, why="the walk is over")
        if job.state == State.IN_THE_BAY:
            while self.measure(job, 9.0):
                continue
            for step in job.operations.filter(done_at=None):
                readings = (step.torque_nm,) * max(1, step.fastener_count) if step.torque_nm else ()
                bench.tick(
                    job_id=job.pk, step_id=step.pk, by=self.boss, readings=readings, reason="the walk is over"
                )
            service.make_ready(job_id=job.pk, by=self.boss)
        service.hand_over(job_id=job.pk, by=self.boss, why="the walk is over")
