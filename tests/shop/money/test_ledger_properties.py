"""Whatever is booked, undone, refunded and called off in any order: every ledger is its rows' sum."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from configurator.builds.money import rounded
from configurator.models import SpecRevision, Workshop
from shop.jobs import service as jobs
from shop.jobs.errors import JobError
from shop.models import Invoice, Job, Payment, Refund
from shop.money import selectors
from shop.money.account import account
from shop.money.addresses import keep_address
from shop.money.hooks import when_job_priced
from shop.money.invoices import credit_invoice, issue_invoice
from shop.money.ledger import PaymentError, book_payment, withdraw_refund
from shop.money.reductions import reduce_price
from shop.money.refunds import decide_owed, decide_refund, mark_refund_paid
from shop.money.undoing import undo_payment
from tests.shop import factories

from .recomputing import check_books, kept, plainly
from .test_invoices import ADDRESS

pytestmark = pytest.mark.django_db
AMOUNTS = st.integers(1, 120_000).map(lambda cents: Decimal(cents) / 100)
ANY = st.integers(0, 10**6)
STEPS = ("parts_on_order", "parts_in", "booked", "in_the_bay", "ready", "handed_over")


class MoneyMachine(RuleBasedStateMachine):
    """Two jobs and everything that can happen to their money; refusals are fine, wrong sums are not."""

    def __init__(self) -> None:
        super().__init__()
        if not Workshop.objects.exists():
            factories.make_workshop(tax_number="DE136695976")
        self.jobs = [factories.job(state="deposit_due") for _ in range(2)]
        mail = f"ida-{self.jobs[0].pk}@customer.example"
        for job in self.jobs:
            keep_address(job_id=job.pk, by="customer", address=ADDRESS)
            SpecRevision.objects.filter(pk=job.revision_id).update(email=mail)
        self.manager = factories.staff("manager", name=f"manager-{self.jobs[0].pk}")
        self.presses = 0

    def job(self, number: int) -> Job:
        return Job.objects.get(pk=self.jobs[number % 2].pk)

    def press(self) -> str:
        self.presses += 1
        return f"press-{self.jobs[0].pk}-{self.presses}"

    def tried(self, deed: Any, **given: Any) -> None:
        try:
            deed(**given)
        except (PaymentError, JobError):
            return

    def one(self, rows: Any, number: int) -> Any:
        found = list(rows.filter(job__in=self.jobs).order_by("pk"))
        return found[number % len(found)] if found else None

    @rule(number=ANY, amount=AMOUNTS, twice=st.booleans())
    def pay(self, number: int, amount: Decimal, twice: bool) -> None:
        press = self.press()
        for _ in range(1 + twice):
            self.tried(
                book_payment, job_id=self.job(number).pk, amount=amount, received_on=timezone.localdate(),
                method="card", by=self.manager, press=press,
            )  # fmt: skip

    @rule(number=ANY, bounced=st.booleans())
    def undo(self, number: int, bounced: bool) -> None:
        payment = self.one(Payment.objects, number)
        if payment:
            self.tried(undo_payment, payment_id=payment.pk, by=self.manager, note="x", bounced=bounced)

    @rule(number=ANY, amount=AMOUNTS)
    def refund(self, number: int, amount: Decimal) -> None:
        self.tried(
            decide_refund,
            job_id=self.job(number).pk,
            amount=amount,
            why="x",
            by=self.manager,
            press=self.press(),
        )

    @rule(number=ANY, withdraw=st.booleans())
    def pay_out_or_withdraw(self, number: int, withdraw: bool) -> None:
        refund = self.one(Refund.objects, number)
        if refund and withdraw:
            self.tried(withdraw_refund, refund_id=refund.pk, by=self.manager, why="x")
        elif refund:
            self.tried(mark_refund_paid, refund_id=refund.pk, paid_on=timezone.localdate(), by=self.manager)

    @rule(number=ANY, amount=AMOUNTS)
    def reduce(self, number: int, amount: Decimal) -> None:
        self.tried(
            reduce_price,
            job_id=self.job(number).pk,
            amount=amount,
            why="x",
            by=self.manager,
            press=self.press(),
        )

    @rule(number=ANY, owed=AMOUNTS)
    def decide_what_is_owed(self, number: int, owed: Decimal) -> None:
        self.tried(
            decide_owed, job_id=self.job(number).pk, owed=owed, why="x", by=self.manager, press=self.press()
        )

    @rule(number=ANY, total=AMOUNTS, share=st.integers(0, 100))
    def amend(self, number: int, total: Decimal, share: int) -> None:
        deposit = rounded(total * share / 100)
        found = factories.evaluation(price=factories.price(str(total), str(deposit)))
        job = self.job(number)
        SpecRevision.objects.filter(pk=job.revision_id).update(evaluation=found.model_dump(mode="json"))
        if job.state not in ("handed_over", "declined", "cancelled"):
            when_job_priced(None, self.job(number), found)

    @rule(number=ANY, twice=st.booleans())
    def invoice(self, number: int, twice: bool) -> None:
        press = self.press()
        for _ in range(1 + twice):
            self.tried(issue_invoice, job_id=self.job(number).pk, by=self.manager, press=press)

    @rule(number=ANY)
    def credit(self, number: int) -> None:
        found = self.one(Invoice.objects, number)
        if found:
            self.tried(credit_invoice, invoice_id=found.pk, by=self.manager, why="x", press=self.press())

    @rule(number=ANY, to=st.sampled_from(STEPS))
    def go_on(self, number: int, to: str) -> None:
        job = self.job(number)
        job.operations.update(planned_start=timezone.now(), done_at=timezone.now())
        job.parts.update(issued=4)
        self.tried(jobs.move, job_id=job.pk, to=to, by=self.manager)

    @rule(number=ANY, decline=st.booleans())
    def call_off(self, number: int, decline: bool) -> None:
        deed = jobs.decline if decline else jobs.cancel
        self.tried(deed, job_id=self.job(number).pk, by=self.manager, why="x")

    @invariant()
    def every_ledger_is_its_rows_sum(self) -> None:
        for number in range(2):
            job = self.job(number)
            found, now = plainly(job), account(job)
            assert kept(job) == found
            assert {name: getattr(now, name) for name in found if name != "to_pay_out"} == {
                name: value for name, value in found.items() if name != "to_pay_out"
            }
            assert selectors.accounts([job.pk])[job.pk] == now
            assert now.outstanding == 0 or now.over == 0
            assert now.price >= 0
            check_books(job)

    @invariant()
    def no_payment_is_undone_twice_and_nothing_is_negative(self) -> None:
        for payment in Payment.objects.filter(job__in=self.jobs, amount__lt=0):
            assert payment.amount == -payment.undoes.amount

    @invariant()
    def a_job_past_its_deposit_has_it(self) -> None:
        """Up to booked; in the bay it is held, and a handed-over vehicle cannot be taken back."""
        for number in range(2):
            job = self.job(number)
            if job.state in ("deposit_in", "parts_on_order", "parts_in", "booked"):
                assert account(job).covered or job.deposit_requests.count() > 1


class Laws(TestCase):
    """The machine, each history in a transaction of its own."""

    @pytest.mark.long
    def test_a_few_histories(self) -> None:
        live(histories=6, steps=10)

    @pytest.mark.long
    def test_every_history(self) -> None:
        live(histories=12, steps=20)


def live(histories: int, steps: int) -> None:
    """Run the machine from its beginning."""
    run_state_machine_as_test(
        MoneyMachine, settings=settings(max_examples=histories, stateful_step_count=steps, deadline=None)
    )
