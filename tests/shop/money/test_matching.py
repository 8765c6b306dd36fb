"""Money that comes in finds its job, once, and nothing is ever lost on the way."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.conf import settings

from configurator.models import OutboxEntry, Workshop
from shop.models import DepositReminder, Job, Payment, StatementFile
from shop.money.references import make_reference
from shop.money.reminders import remind_deposits
from shop.money.service import account
from shop.money.statements.entries import StatementError
from shop.money.statements.importing import import_statement
from tests.shop import factories

from .camt_samples import statement, transfer
from .transfers import due, make_workshop, reference, state

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop(db: None) -> None:
    make_workshop()


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


def one_slip(text: str, other: str) -> bool:
    """Whether one character more, less or otherwise, or two swapped, make the one of the other."""
    if len(text) != len(other):
        longer, shorter = sorted((text, other), key=len, reverse=True)
        return any(longer[:at] + longer[at + 1 :] == shorter for at in range(len(longer)))
    differ = [at for at in range(len(text)) if text[at] != other[at]]
    swapped = sorted(text[at] for at in differ) == sorted(other[at] for at in differ)
    return len(differ) == 1 or (len(differ) == 2 and differ[1] - differ[0] == 1 and swapped)


def test_a_slip_in_the_reference_is_said_and_nothing_is_booked() -> None:
    job, other = due(), due()
    right = reference(job)
    for wrong in (right[:-1] + "O", right + "7", right[:-1], right[:2] + right[3] + right[2] + right[4:]):
        if wrong == right:
            continue
        file = import_statement(name="a", data=statement(transfer("300.00", text=wrong))).file
        note = file.entries.get().said
        assert job.number in note
        # Where the references of both are as near, both are named.
        assert other.number not in note or one_slip(wrong, reference(other))
        assert "One slip away" in note
    assert Payment.objects.count() == 0


def test_another_account_is_refused() -> None:
    with pytest.raises(StatementError, match="the workshop's is"):
        import_statement(name="a", data=statement(iban="DE89370400440532013000"))
    assert StatementFile.objects.count() == 0


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
