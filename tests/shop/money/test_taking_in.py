"""Statements taken in: splits, bounces, doubts, days to come, other currencies, several accounts."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from itertools import permutations

import pytest
from django.utils import timezone

from configurator.models import Workshop
from shop.models import Job, Payment, StatementEntry, StatementFile
from shop.money.accounts import closing, customer_account
from shop.money.refunds import decide_refund
from shop.money.reminders import remind_deposits
from shop.money.service import PaymentError, account, book_payment, undo_payment
from shop.money.statements import matching
from shop.money.statements.accounts import is_account
from shop.money.statements.entries import StatementError
from shop.money.statements.importing import import_statement, preview
from shop.money.statements.suggesting import suggestions
from tests.shop import factories

from .camt_samples import IBAN, statement, transfer
from .test_matching import due, reference, state

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop(db: None) -> None:
    factories.make_workshop(iban=f"{IBAN[:4]} {IBAN[4:]}")


def read(*entries: str, number: str = "1", **options: object) -> list[StatementEntry]:
    """Import a camt.053 of these entries and return what it brought, in order."""
    file = import_statement(name=f"{number}.xml", data=statement(*entries, number=number, **options)).file
    return list(file.entries.order_by("pk"))


def again(entry: StatementEntry) -> StatementEntry:
    entry.refresh_from_db()
    return entry


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


def test_a_bounced_payment_is_taken_back_on_its_own_day() -> None:
    job, other = due(), due()
    read(transfer("300.00", reference=reference(job), name="Ida Sommer"))
    read(transfer("300.00", reference=reference(other), name="Otto Marten"), number="2")

    (bounced,) = read(
        transfer("300.00", direction="DBIT", reference=reference(job), reversal=True, day="2026-04-02"),
        number="3",
    )

    assert (bounced.state, bounced.said) == ("matched", "takes back the payment of 2026-03-31")
    assert (account(job).held, account(other).held) == (0, 300)
    undoing = Payment.objects.get(amount=-300)
    assert (undoing.received_on, undoing.entry, undoing.note) == (date(2026, 4, 2), bounced, "bounced")


def test_a_bounce_without_a_reference_finds_the_payer() -> None:
    job, other = due(), due()
    for who, each in (("Ida Sommer", job), ("Otto Marten", other)):
        read(transfer("300.00", reference=reference(each), name=who), number=who)
    # Both samples bear one IBAN, so it tells nothing; the name does.
    StatementEntry.objects.update(other_iban="")

    data = statement(
        transfer("300.00", direction="DBIT", reversal=True, name="Otto Marten")
        .replace("<Cdtr>", "<Dbtr>")
        .replace("</Cdtr>", "</Dbtr>"),
        number="9",
    )
    (bounced,) = import_statement(name="9", data=data).file.entries.all()

    assert (bounced.other_name, bounced.state, account(other).held) == ("Otto Marten", "matched", 0)


def test_a_bounce_that_two_payments_fit_waits_for_a_person_and_can_be_undone() -> None:
    one, two = due(), due()
    first, second = (
        read(transfer("300.00", reference=reference(job)), number=str(job.pk))[0] for job in (one, two)
    )
    StatementEntry.objects.update(other_iban="", other_name="")
    details = "<TxDtls><AddtlTxInf>returned</AddtlTxInf></TxDtls>"
    (bounced,) = read(transfer("300.00", direction="DBIT", reversal=True, details=details), number="9")
    assert (bounced.state, bounced.reason) == ("open", "reversal")

    matching.take_back_by_hand(entry_id=bounced.pk, taken_back_id=second.pk, by=None)
    assert (account(one).held, account(two).held) == (300, 0)
    with pytest.raises(PaymentError, match="already"):
        matching.take_back_by_hand(entry_id=bounced.pk, taken_back_id=first.pk, by=None)

    for _ in range(2):
        matching.unmatch(entry_id=bounced.pk, by=None)
    assert (account(one).held, account(two).held, again(bounced).state) == (300, 300, "open")
    matching.take_back_by_hand(entry_id=bounced.pk, taken_back_id=second.pk, by=None)
    matching.unmatch(entry_id=bounced.pk, by=None)
    assert account(two).held == 300


def test_a_split_transfer_that_bounces_is_taken_back_from_every_job() -> None:
    one, two = due("300.00"), due("450.00")
    (entry,) = read(transfer("750.00", text=f"{reference(one)} {reference(two)}"))
    matching.split_by_hand(
        entry_id=entry.pk, shares=[(one.pk, Decimal(300)), (two.pk, Decimal(450))], by=None
    )

    (bounced,) = read(
        transfer("750.00", direction="DBIT", reference=reference(one), reversal=True, day="2026-04-02"),
        number="2",
    )

    assert (bounced.state, account(one).held, account(two).held) == ("matched", 0, 0)


def test_only_money_that_went_out_takes_a_payment_of_its_amount_back() -> None:
    job = due()
    (paid,) = read(transfer("300.00", reference=reference(job)))
    out, came = read(
        transfer("299.00", direction="DBIT", text=reference(job)), transfer("300.00", text="van"), number="2"
    )

    with pytest.raises(PaymentError, match="of this amount"):
        matching.take_back_by_hand(entry_id=out.pk, taken_back_id=paid.pk, by=None)
    with pytest.raises(PaymentError, match="went out"):
        matching.take_back_by_hand(entry_id=came.pk, taken_back_id=paid.pk, by=None)
    with pytest.raises(PaymentError, match="came in"):
        matching.match_by_hand(entry_id=out.pk, job_id=job.pk, by=None)
    assert account(job).held == 300


def test_money_that_came_back_is_not_booked_as_a_payment() -> None:
    job = due()
    read(transfer("300.00", reference=reference(job)))
    decide_refund(job_id=job.pk, amount=Decimal(180), why="policy", by=factories.staff("manager"), press="k")
    read(transfer("180.00", direction="DBIT", text=reference(job)), number="2")

    (back,) = read(transfer("180.00", reversal=True, text=reference(job)), number="3")

    assert (back.state, back.reason, account(job).held) == ("open", "came_back", 120)


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
    matching.same_movement(entry_id=doubt.pk)
    assert again(doubt).state == "matched"


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


def test_of_several_accounts_the_workshops_is_taken() -> None:
    mine, other = statement(transfer("5.00")), statement(transfer("7.00"), iban="DE89370400440532013000")
    body = other.split(b"</GrpHdr>")[1].split(b"</BkToCstmrStmt>")[0]
    data = mine.replace(b"</BkToCstmrStmt>", body + b"</BkToCstmrStmt>")

    file = import_statement(name="both", data=data).file

    assert [entry.amount for entry in file.entries.all()] == [5]
    assert file.left_out == ["account DE89370400440532013000: 1 movements"]


OWN = "DE89 3704 0044 0532 0130 00"


@pytest.mark.parametrize(
    ("told", "same"),
    [
        (OWN, True),
        ("de89370400440532013000", True),
        ("DE89370400440532013000EUR", True),
        ("37040044/532013000", True),
        ("37040044/0532013000EUR", True),
        ("0532013000", True),
        ("532013000", True),
        ("370400440532013000", True),
        ("12030000/532013000", False),
        ("NL91ABNA0417164300", False),
        ("3000", False),
        ("632013000", False),
        ("", False),
    ],
)
def test_account_numbers_however_banks_write_them(told: str, same: bool) -> None:
    """A German IBAN ends with 8 digits of the bank and 10 of the account (ISO 13616 registry)."""
    assert is_account(told, OWN) == same


def test_an_account_told_as_a_domestic_number_is_the_workshops() -> None:
    Workshop.objects.update(iban=OWN)
    data = statement(transfer("5.00")).replace(
        f"<IBAN>{IBAN}</IBAN></Id></Acct>".encode(), b"<Othr><Id>0532013000</Id></Othr></Id></Acct>"
    )
    assert import_statement(name="a", data=data).file.entries.count() == 1

    with pytest.raises(StatementError, match="the workshop's is"):
        import_statement(name="b", data=data.replace(b"0532013000", b"0532013001"))


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


def test_a_days_closing_list_tells_each_way_and_takes_back_what_was_undone() -> None:
    job, today = due("900.00"), timezone.localdate()
    for method, amount in (("cash", "20.00"), ("cash", "30.00"), ("card", "100.00")):
        paid = book_payment(job_id=job.pk, amount=Decimal(amount), received_on=today, method=method, by=None)
    undo_payment(payment_id=paid.pk, by=None, note="wrong job")
    yesterday = today - timedelta(days=1)
    book_payment(job_id=job.pk, amount=Decimal(7), received_on=yesterday, method="cash", by=None)

    found = closing(today)

    assert [(way.total, len(way.rows)) for way in found.ways] == [(0, 0), (0, 2), (50, 2)]
    assert (found.came_in, found.went_back, found.after) == (50, 0, None)
    assert (closing(yesterday).came_in, closing(yesterday).after) == (7, today)


def test_a_customers_account_runs_over_all_jobs_and_adds_up() -> None:
    one, two = due("300.00"), due("450.00")
    today = timezone.localdate()
    book_payment(job_id=one.pk, amount=Decimal(300), received_on=today, method="cash", by=None)
    book_payment(job_id=two.pk, amount=Decimal(50), received_on=today, method="card", by=None)
    decide_refund(
        job_id=one.pk, amount=Decimal(100), why="goodwill", by=factories.staff("manager"), press="k"
    )

    found = customer_account(" IDA@customer.example ")

    assert found is not None
    assert found.jobs == (one, two)
    assert (found.asked, found.paid, found.balance) == (750, 250, 500)
    assert found.lines[-1].balance == 500
    assert customer_account("nobody@customer.example") is None
    assert customer_account("") is None


def test_a_job_called_off_asks_for_nothing_in_the_account() -> None:
    from shop.jobs import service as jobs

    job = due("300.00")
    jobs.cancel(job_id=job.pk, by="customer", why="sold the van")

    found = customer_account("ida@customer.example")

    assert found is not None
    assert (found.asked, found.balance) == (0, 0)
    assert Job.objects.get().state == "cancelled"
