"""Statements taken in: splits, bounces, doubts, days to come, other currencies, several accounts."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from itertools import permutations

import pytest
from django.utils import timezone

from shop.models import Payment, StatementEntry, StatementFile
from shop.money.reminders import remind_deposits
from shop.money.service import PaymentError, account
from shop.money.statements import matching
from shop.money.statements.entries import StatementError
from shop.money.statements.importing import import_statement, preview
from shop.money.statements.suggesting import suggestions

from .camt_samples import statement, transfer
from .transfers import again, due, make_workshop, read, reference, state

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop(db: None) -> None:
    make_workshop()


def test_one_dated_tomorrow_stops_nothing_and_is_matched_on_its_day() -> None:
    job, other = due(), due()
    tomorrow = timezone.localdate() + timedelta(days=1)

    early, now = read(
        transfer("300.00", reference=reference(job), day=tomorrow.isoformat()),
        transfer("300.00", reference=reference(other)),
    )

    assert (early.state, early.reason, early.match_on, now.state) == ("open", "later", tomorrow, "matched")
    assert tomorrow.isoformat() in early.said
    with pytest.raises(PaymentError, match="to come"):
        matching.match_by_hand(entry_id=early.pk, job_id=job.pk, by=None)
    assert matching.match_waiting() == 0


def test_the_daily_run_matches_what_was_dated_ahead(monkeypatch: pytest.MonkeyPatch) -> None:
    job = due()
    tomorrow = timezone.localdate() + timedelta(days=1)
    (early,) = read(transfer("300.00", reference=reference(job), day=tomorrow.isoformat()))
    monkeypatch.setattr("django.utils.timezone.localdate", lambda *_args: tomorrow)

    remind_deposits(today=tomorrow)

    assert (again(early).state, early.match_on, account(job).covered) == ("matched", None, True)


@pytest.mark.long
def test_a_transfer_for_two_jobs_is_split_by_a_person_and_undone_whole() -> None:
    one, two = due("300.00"), due("450.00")
    (entry,) = read(transfer("750.00", text=f"{reference(one)} {reference(two)}"))
    assert (entry.state, entry.reason) == ("open", "several")
    assert {each.job for each in suggestions([entry])[entry.pk]} == {one, two}

    booked = matching.split_by_hand(
        entry_id=entry.pk, shares=[(two.pk, Decimal(450)), (one.pk, Decimal(300))], by=None
    )

    assert [(row.job, row.amount, row.entry) for row in booked] == [(one, 300, entry), (two, 450, entry)]
    assert (state(one), state(two), again(entry).said) == (
        "deposit_in",
        "deposit_in",
        "split by hand over 2 jobs",
    )
    matching.unmatch(entry_id=entry.pk, by=None)
    assert (account(one).held, account(two).held, again(entry).state) == (0, 0, "open")


@pytest.mark.parametrize(
    ("shares", "message"),
    [
        ([(0, 300), (1, 449)], "come to 749"),
        ([(0, 300), (0, 450)], "named twice"),
        ([(0, 750), (1, 0)], "above nothing"),
        ([(0, 800), (1, -50)], "above nothing"),
        ([], "come to 0"),
    ],
)
def test_shares_that_are_wrong_book_nothing(shares: list[tuple[int, int]], message: str) -> None:
    jobs = [due("300.00"), due("450.00")]
    (entry,) = read(transfer("750.00", text="two vans"))

    with pytest.raises(PaymentError, match=message):
        matching.split_by_hand(
            entry_id=entry.pk, shares=[(jobs[i].pk, Decimal(amount)) for i, amount in shares], by=None
        )

    assert (Payment.objects.count(), again(entry).state) == (0, "open")


def test_several_references_in_one_transfer_are_all_read() -> None:
    one, two = due(), due()
    details = (
        "<TxDtls><RmtInf>"
        + "".join(
            f"<Strd><RfrdDocInf><Nb>{job.number}</Nb></RfrdDocInf>"
            f"<CdtrRefInf><Ref>{reference(job)}</Ref></CdtrRefInf></Strd>"
            for job in (one, two)
        )
        + "</RmtInf></TxDtls>"
    )

    (entry,) = read(transfer("600.00", details=details))

    assert (entry.reference, entry.text) == (reference(one), reference(two))
    assert entry.documents == f"{one.number} {two.number}"
    assert entry.reason == "several"


def test_a_document_number_books_only_the_amount_still_to_come() -> None:
    job = due("300.00")

    def told(amount: str, number: str) -> StatementEntry:
        details = f"<RmtInf><Strd><RfrdDocInf><Nb>{job.number}</Nb></RfrdDocInf></Strd></RmtInf>"
        return read(transfer(amount, details=f"<TxDtls>{details}</TxDtls>"), number=number)[0]

    wrong, right = told("299.99", "1"), told("300.00", "2")

    assert (wrong.state, wrong.reason, job.number in wrong.said) == ("open", "document", True)
    assert (right.state, right.reason, account(job).covered) == ("matched", "by_document", True)


def test_another_currency_is_offered_to_nobody_and_refused() -> None:
    job = due()
    (entry,) = read(transfer("300.00", reference=reference(job), currency="CHF"))

    assert (entry.state, entry.said) == ("open", "In CHF, asked for in EUR")
    assert suggestions([entry]) == {}
    with pytest.raises(PaymentError, match="in CHF"):
        matching.match_by_hand(entry_id=entry.pk, job_id=job.pk, by=None)


def test_a_doubt_waits_for_a_person_and_books_nothing_till_then() -> None:
    job = due("450.00")
    read(transfer("300.00", reference=reference(job)))
    told = f"date;amount;name;text\n31.03.2026;300,00;Ida Sommer;{reference(job)}\n".encode()

    doubt = import_statement(name="bank.csv", data=told).file.entries.get()

    assert (doubt.state, doubt.said, account(job).held) == (
        "doubt",
        "May be the movement that 1.xml told",
        300,
    )
    assert matching.match_entry(entry_id=doubt.pk) is None
    matching.same_movement(entry_id=doubt.pk)
    assert (again(doubt).state, account(job).held) == ("known", 300)
    matching.another_movement(entry_id=doubt.pk)
    assert (again(doubt).state, account(job).held) == ("matched", 600)
    with pytest.raises(PaymentError, match="decided about it since"):
        matching.same_movement(entry_id=doubt.pk)
    assert again(doubt).state == "matched"


@pytest.mark.long
def test_files_in_any_order_end_in_the_same_ledger() -> None:
    """Three overlapping files of one account; each order starts from an empty ledger."""
    job = due("900.00")
    entries = [
        transfer("100.00", reference=reference(job), bank_reference=number, day=f"2026-03-{day}")
        for number, day in (("NONREF", 29), ("", 30), ("", 30), ("B7", 31))
    ]
    files = [statement(*entries[a:b], number=f"{a}{b}") for a, b in ((0, 3), (1, 4), (0, 4))]

    for order in permutations(files):
        for number, data in enumerate(order):
            import_statement(name=str(number), data=data)
        assert (account(job).held, StatementEntry.objects.count()) == (400, 4)
        Payment.objects.all().delete()
        StatementFile.objects.all().delete()


def test_entries_without_a_status_are_booked_and_unknown_ones_refused() -> None:
    job = due()
    bare = transfer("300.00", reference=reference(job)).replace("<Sts><Cd>BOOK</Cd></Sts>", "")
    assert read(bare)[0].state == "matched"

    with pytest.raises(StatementError, match="“HELD” is not a status"):
        read(transfer("1.00", status="HELD"), number="2")


def test_a_preview_changes_nothing_and_says_what_the_import_then_does() -> None:
    job = due()
    read(transfer("20.00", text="known"))
    data = statement(
        transfer("20.00", text="known"),
        transfer("300.00", reference=reference(job)),
        transfer("4.00", text="other"),
        number="2",
    )

    seen = preview(data)

    assert [(row.verdict, row.decision and row.decision.act) for row in seen.rows] == [
        ("known", None),
        ("new", "book"),
        ("new", "ask"),
    ]
    assert (seen.new, seen.before, Payment.objects.count(), StatementEntry.objects.count()) == (2, None, 0, 1)
    import_statement(name="2", data=data)
    assert (Payment.objects.count(), preview(data).new, preview(data).before is not None) == (1, 0, True)
