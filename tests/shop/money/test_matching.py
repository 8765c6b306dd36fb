"""Money that comes in finds its job, once, and nothing is ever lost on the way."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.conf import settings
from django.utils import timezone
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from configurator.models import OutboxEntry, Workshop
from shop.jobs import service as jobs
from shop.models import DepositReminder, Job, Payment, Refund, StatementEntry, StatementFile
from shop.money.references import make_reference
from shop.money.refunds import decide_refund, mark_refund_paid, refund_due
from shop.money.reminders import remind_deposits
from shop.money.service import PaymentError, account, book_payment, undo_payment
from shop.money.statements.entries import StatementError
from shop.money.statements.importing import import_statement
from shop.money.statements.matching import (
    bring_back,
    match_by_hand,
    match_entry,
    set_aside,
    unmatch,
)
from shop.money.statements.suggesting import suggestions
from shop.parts.receiving import close_line, receive
from shop.parts.service import place_order
from tests.shop import factories

from .camt_samples import IBAN, statement, transfer

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def workshop(request: pytest.FixtureRequest) -> None:
    """The workshop whose account the samples are of."""
    if "django_db_setup" in request.fixturenames:
        request.getfixturevalue("db")
        make_workshop()


def make_workshop() -> Workshop:
    return factories.make_workshop(iban=f"{IBAN[:4]} {IBAN[4:]}")


def due(deposit: str = "300.00", **changes: object) -> Job:
    return factories.job(
        factories.evaluation(price=factories.price(deposit=deposit)), **({"state": "deposit_due"} | changes)
    )


def reference(job: Job) -> str:
    return job.deposit_requests.get(superseded_at=None).reference


def state(job: Job) -> str:
    job.refresh_from_db()
    return job.state


def test_a_transfer_with_the_reference_moves_the_job_on() -> None:
    job = due()

    done = import_statement(name="march.xml", data=statement(transfer("300.00", reference=reference(job))))

    assert (done.made, state(job), account(job).state) == (True, "deposit_in", "paid")
    entry = done.file.entries.get()
    assert (entry.state, entry.said, job.payments.get().entry) == ("matched", "by reference", entry)


def test_csv_with_the_reference_in_free_text_does_the_same() -> None:
    job = due()
    text = reference(job).lower()
    data = f"date;amount;text\n31.03.2026;300,00;deposit {text[:4]} {text[4:]} thanks\n".encode()

    import_statement(name="march.csv", data=data)

    assert state(job) == "deposit_in"


def test_part_payments_add_up_and_overpayments_are_shown() -> None:
    job = due()
    import_statement(name="a", data=statement(transfer("100.00", reference=reference(job)), number="1"))
    now = account(job)
    assert (state(job), now.state, now.outstanding) == ("deposit_due", "part paid", Decimal("200.00"))

    import_statement(name="b", data=statement(transfer("250.00", text=reference(job)), number="2"))
    now = account(job)
    assert (state(job), now.state, now.over, now.held) == ("deposit_in", "overpaid", 50, 350)


def test_the_demonstration_statement_names_the_first_job() -> None:
    """The file that people try the page with; its account and reference are the demonstration's."""
    Workshop.objects.update(iban="DE89370400440532013000")
    data = (settings.BASE_DIR / "fixtures" / "statements" / "demo.csv").read_bytes()

    entries = import_statement(name="demo.csv", data=data).file.entries

    assert entries.get(amount__gt=100).reference.replace(" ", "") == make_reference(1)
    assert list(entries.order_by("amount").values_list("amount", flat=True)) == [
        Decimal("-201.10"),
        Decimal("75.00"),
        Decimal("1697.98"),
    ]


def test_the_same_file_again_changes_nothing() -> None:
    job = due()
    data = statement(transfer("300.00", reference=reference(job)))

    first, second = (import_statement(name="march.xml", data=data) for _ in range(2))

    assert (first.made, second.made, first.file) == (True, False, second.file)
    assert (Payment.objects.count(), StatementFile.objects.count()) == (1, 1)


def test_overlapping_statements_book_each_movement_once() -> None:
    job = due()
    old, new = transfer("100.00", reference=reference(job)), transfer("200.00", reference=reference(job))
    import_statement(name="a", data=statement(old, number="1"))

    second = import_statement(name="b", data=statement(old, new, number="2"))

    assert (second.file.seen_before, account(job).held) == (1, 300)


def test_a_payment_for_a_superseded_request_still_counts() -> None:
    from shop.money.service import make_deposit_request

    job = due("300.00")
    old = reference(job)
    make_deposit_request(job=job, evaluation=factories.evaluation(price=factories.price(deposit="400.00")))

    import_statement(name="a", data=statement(transfer("300.00", reference=old)))

    assert (account(job).outstanding, account(job).state) == (100, "part paid")


def test_money_that_comes_while_in_review_is_noted() -> None:
    job = due(state="in_review")

    import_statement(name="a", data=statement(transfer("300.00", reference=reference(job))))

    assert state(job) == "in_review"
    assert job.deposit_paid_at is not None


def test_what_does_not_match_waits_for_a_person_with_a_reason() -> None:
    one, two = due(), due()
    entries = (
        transfer("300.00", text="for the van"),
        transfer("600.00", text=f"{reference(one)} {reference(two)}"),
        transfer("300.00", reference=reference(one), currency="CHF"),
        transfer("80.00", direction="DBIT", name="Achs"),
        transfer("300.00", direction="DBIT", text=reference(one)),
    )

    file = import_statement(name="a", data=statement(*entries)).file

    notes = sorted((str(entry.amount), entry.state, entry.said) for entry in file.entries.all())
    assert notes == [
        ("-300.00", "open", "Went out, but no refund of this amount was decided"),
        ("-80.00", "set aside", "went out"),
        ("300.00", "open", "In CHF, asked for in EUR"),
        ("300.00", "open", "No known reference"),
        ("600.00", "open", f"Names several jobs: {one.number}, {two.number}"),
    ]
    assert Payment.objects.count() == 0


def test_a_slip_in_the_reference_is_said_and_nothing_is_booked() -> None:
    job, other = due(), due()
    right = reference(job)
    for wrong in (right[:-1] + "O", right + "7", right[:-1], right[:2] + right[3] + right[2] + right[4:]):
        if wrong == right:
            continue
        file = import_statement(name="a", data=statement(transfer("300.00", text=wrong))).file
        note = file.entries.get().said
        assert job.number in note
        assert other.number not in note
        assert "One slip away" in note
    assert Payment.objects.count() == 0


def test_matching_by_hand_and_undoing_it() -> None:
    job, clerk = due(), factories.staff("manager")
    entry = import_statement(name="a", data=statement(transfer("300.00", text="van"))).file.entries.get()

    match_by_hand(entry_id=entry.pk, job_id=job.pk, by=clerk)
    assert account(job).covered
    with pytest.raises(PaymentError, match="already"):
        match_by_hand(entry_id=entry.pk, job_id=job.pk, by=clerk)

    unmatch(entry_id=entry.pk, by=clerk)
    unmatch(entry_id=entry.pk, by=clerk)
    entry.refresh_from_db()
    assert (entry.state, account(job).held) == ("open", 0)
    assert [payment.amount for payment in job.payments.all()] == [300, -300]
    assert "money.payment_undone" in job.history.values_list("action", flat=True)


def test_setting_aside_and_bringing_back() -> None:
    entry = import_statement(name="a", data=statement(transfer("3.00"))).file.entries.get()

    assert set_aside(entry_id=entry.pk, note="sold scrap").state == "set aside"
    assert bring_back(entry_id=entry.pk).state == "open"
    assert match_entry(entry_id=entry.pk) is None


def test_suggestions_say_what_speaks_for_them() -> None:
    job = due()
    due("999.00")
    entry = StatementEntry(
        pk=1,
        amount=Decimal("300.00"),
        currency="EUR",
        other_name="SOMMER, IDA",
        text=f"job {job.number.lower()}",
    )

    first = suggestions([entry])[1][0]

    assert first.job == job
    assert first.reasons == ("names the job's number", "the customer's name", "the amount asked for")


def test_another_account_is_refused() -> None:
    with pytest.raises(StatementError, match="the workshop's is"):
        import_statement(name="a", data=statement(iban="DE89370400440532013000"))
    assert StatementFile.objects.count() == 0


def test_payment_at_the_desk_once_per_press() -> None:
    job = due()
    today = timezone.localdate()
    for _ in range(2):
        book_payment(job_id=job.pk, amount=Decimal(300), received_on=today, method="cash", by=None, press="k")

    assert (state(job), account(job).held) == ("deposit_in", 300)
    for wrong in ({"amount": Decimal(0)}, {"received_on": today + timedelta(days=1)}):
        with pytest.raises(PaymentError):
            book_payment(
                **(
                    {
                        "job_id": job.pk,
                        "amount": Decimal(1),
                        "received_on": today,
                        "method": "cash",
                        "by": None,
                    }
                    | wrong
                )
            )


def test_undoing_twice_undoes_once_and_an_undoing_stays() -> None:
    job = due()
    today = timezone.localdate()
    paid = book_payment(job_id=job.pk, amount=Decimal(5), received_on=today, method="card", by=None)

    first = undo_payment(payment_id=paid.pk, by=None, note="typed wrong")
    second = undo_payment(payment_id=paid.pk, by=None, note="typed wrong")

    assert first == second
    assert account(job).held == 0
    with pytest.raises(PaymentError):
        undo_payment(payment_id=first.pk, by=None, note="")


def test_a_declined_job_gives_everything_back() -> None:
    job = due()
    import_statement(name="a", data=statement(transfer("300.00", reference=reference(job))))
    jobs.decline(job_id=job.pk, by=factories.staff("reviewer"), why="no room before winter")
    job.refresh_from_db()

    found = refund_due(job)

    assert (found.held, found.kept, found.amount) == (300, 0, 300)


def test_a_cancelled_job_keeps_what_cannot_be_sent_back() -> None:
    parts = (
        factories.part("panel", returnable=False, quantity=Decimal(1), unit_price=Decimal("120.00")),
        factories.part("wheel"),
    )
    job = factories.job(factories.evaluation(parts=parts), state="deposit_due")
    import_statement(name="a", data=statement(transfer("300.00", reference=reference(job))))
    place_order(supplier="northwheel", by=None)
    jobs.cancel(job_id=job.pk, by="customer", why="sold the van")
    job.refresh_from_db()

    found = refund_due(job)

    assert (found.amount, found.kept, found.kept_for) == (180, 120, ("1 each Wheel A 8 x 18: 120.00",))


def test_of_an_order_that_ended_only_the_goods_that_came_are_kept() -> None:
    parts = (factories.part("panel", returnable=False, quantity=Decimal(4), unit_price=Decimal("50.00")),)
    job = factories.job(factories.evaluation(parts=parts), state="deposit_due")
    import_statement(name="march.xml", data=statement(transfer("300.00", reference=reference(job))))
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()
    assert refund_due(job).kept == 200

    receive(order_id=order.pk, quantities={line.pk: Decimal(1)}, by=None, press="r")
    close_line(order_id=order.pk, line_id=line.pk, why="not made any more")

    found = refund_due(Job.objects.get())
    assert (found.kept, found.amount) == (50, 250)


def test_nothing_is_kept_of_an_order_that_ended_before_anything_came() -> None:
    parts = (factories.part("panel", returnable=False, quantity=Decimal(4), unit_price=Decimal("50.00")),)
    job = factories.job(factories.evaluation(parts=parts), state="deposit_due")
    import_statement(name="march.xml", data=statement(transfer("300.00", reference=reference(job))))
    order = place_order(supplier="northwheel", by=None)
    close_line(order_id=order.pk, line_id=order.lines.get().pk, why="not made any more")

    assert (refund_due(Job.objects.get()).kept, refund_due(Job.objects.get()).amount) == (0, 300)


def test_never_more_is_kept_than_was_paid() -> None:
    parts = (factories.part("panel", returnable=False, quantity=Decimal(4), unit_price=Decimal("200.00")),)
    job = factories.job(factories.evaluation(parts=parts), state="deposit_due")
    import_statement(name="march.xml", data=statement(transfer("300.00", reference=reference(job))))
    place_order(supplier="northwheel", by=None)

    assert (refund_due(Job.objects.get()).kept, refund_due(Job.objects.get()).amount) == (300, 0)


def test_a_refund_is_decided_once_paid_once_and_seen_on_the_statement() -> None:
    job, manager = due(), factories.staff("manager")
    import_statement(name="a", data=statement(transfer("300.00", reference=reference(job))))
    for _ in range(2):
        decide_refund(job_id=job.pk, amount=Decimal(180), why="policy", by=manager, press="k")
    with pytest.raises(PaymentError, match="Only 120"):
        decide_refund(job_id=job.pk, amount=Decimal(121), why="more", by=manager, press="l")
    with pytest.raises(PaymentError, match="why"):
        decide_refund(job_id=job.pk, amount=Decimal(1), why=" ", by=manager, press="m")

    out = transfer("180.00", direction="DBIT", text=f"refund {reference(job)}", day="2026-04-02")
    import_statement(name="b", data=statement(out, number="2"))

    refund = Refund.objects.get()
    assert (refund.paid_on, refund.kept, refund.entry.state) == (date(2026, 4, 2), 120, "matched")
    assert mark_refund_paid(refund_id=refund.pk, paid_on=date(2026, 4, 3), by=manager).paid_on == date(
        2026, 4, 2
    )


def test_reminders_go_out_by_step_and_once_a_step() -> None:
    job = due()
    day = job.deposit_requests.get().due_on

    sent = [len(remind_deposits(today=day + timedelta(days=n))) for n in (0, 1, 1, 7, 8, 20, 30)]

    assert sent == [0, 1, 0, 0, 1, 1, 0]
    assert list(DepositReminder.objects.values_list("step", flat=True)) == [1, 2, 3]
    assert OutboxEntry.objects.filter(payload__template="deposit_reminder").count() == 3


def test_nobody_who_paid_is_reminded() -> None:
    job = due(state="in_review")
    import_statement(name="a", data=statement(transfer("300.00", reference=reference(job))))
    Job.objects.update(state="deposit_due")

    assert remind_deposits(today=job.deposit_requests.get().due_on + timedelta(days=9)) == []


cents = st.integers(1, 60_000).map(lambda n: Decimal(n) / 100)


class Laws(TestCase):
    """Laws over random histories of payments."""

    @hypothesis_settings(max_examples=30)
    @given(st.lists(st.tuples(cents, st.booleans()), min_size=1, max_size=6))
    def test_sums_are_exact_and_states_follow(self, history: list[tuple[Decimal, bool]]) -> None:
        job, total, today = due("300.00"), Decimal(0), timezone.localdate()
        for amount, undone in history:
            paid = book_payment(job_id=job.pk, amount=amount, received_on=today, method="cash", by=None)
            total += amount
            if undone:
                undo_payment(payment_id=paid.pk, by=None, note="")
                total -= amount

        now = account(job)

        assert now.held == total
        assert now.outstanding - now.over == now.asked - total
        assert now.covered == (total >= 300)
        if now.covered:
            assert state(job) == "deposit_in"
