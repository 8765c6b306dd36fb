"""The statement pages: a file is looked at, its columns named once, then taken in or thrown away."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone, translation

from shop.models import CsvLayout, Payment, StatementDraft, StatementEntry, StatementFile
from shop.money.service import account, book_payment
from tests.shop import factories

from .camt_samples import IBAN, statement, transfer
from .transfers import due, reference

pytestmark = pytest.mark.django_db
MONEY = "/workshop/money/"
BANK = b"Auszug der Hofbank;;\nWann;Wieviel;Wer\n03/04/2026;1,50;Ida Sommer\n05/04/2026;-2,50;Achsteil\n"


@pytest.fixture
def client(db: None) -> Client:
    """A manager who is signed in."""
    factories.make_workshop(iban=IBAN)
    found = Client()
    found.force_login(factories.staff("manager"))
    return found


def look(client: Client, data: bytes, name: str = "a.csv"):  # type: ignore[no-untyped-def]
    return client.post(f"{MONEY}statements/", {"file": SimpleUploadedFile(name, data)}, follow=True)


@pytest.mark.long
def test_looking_books_nothing_and_taking_in_books_once(client: Client) -> None:
    job = due()
    answer = look(client, statement(transfer("300.00", reference=reference(job))), "a.xml")
    draft = StatementDraft.objects.get()

    assert answer.redirect_chain[-1][0] == f"{MONEY}statements/look/{draft.pk}/"
    assert job.number in answer.text
    assert Payment.objects.count() == 0
    for _ in range(2):
        client.post(f"{MONEY}statements/look/{draft.pk}/take-in/")
    assert (account(job).covered, Payment.objects.count(), StatementDraft.objects.count()) == (True, 1, 0)


def test_a_file_is_thrown_away_without_a_trace_in_the_books(client: Client) -> None:
    look(client, statement(transfer("3.00")), "a.xml")
    draft = StatementDraft.objects.get()

    for _ in range(2):
        assert client.post(f"{MONEY}statements/look/{draft.pk}/throw-away/").status_code == 302

    assert (StatementDraft.objects.count(), StatementFile.objects.count()) == (0, 0)
    assert client.get(f"{MONEY}statements/look/{draft.pk}/").status_code == 404


@pytest.mark.long
def test_columns_are_named_once_and_remembered(client: Client) -> None:
    asked = look(client, BANK)
    draft = StatementDraft.objects.get()
    assert "Which column is what" in asked.text
    assert "Wann: 03/04/2026" in asked.text
    address = f"{MONEY}statements/look/{draft.pk}/columns/"

    wrong = client.post(address, {"label": "Hofbank", "date": "0"})
    assert wrong.status_code == 422
    assert "which hold the amount" in wrong.text
    assert 'value="Hofbank"' in wrong.text
    good = {"label": "Hofbank", "date": "0", "amount": "1", "name": "2", "decimal_mark": ","}
    assert "day or month comes first" in client.post(address, good, follow=True).text
    seen = client.post(address, good | {"day_order": "dmy"}, follow=True)

    assert CsvLayout.objects.get().columns == {"date": ["wann"], "amount": ["wieviel"], "name": ["wer"]}
    assert "Take it into the books" in seen.text
    client.post(f"{MONEY}statements/look/{draft.pk}/take-in/")
    entry = StatementEntry.objects.get(amount__gt=0)
    assert (entry.booked_on.isoformat(), entry.amount, entry.other_name) == (
        "2026-04-03",
        Decimal("1.50"),
        "Ida Sommer",
    )
    assert entry.file.format == "CSV Hofbank"
    # The next file with these headings is read at once; its columns can still be changed.
    again = look(client, BANK.replace(b"1,50", b"9,50"))
    assert "Which column is what" not in again.text
    assert "Which column is what" in client.get(f"{again.redirect_chain[-1][0]}?columns").text


def test_two_shapes_cannot_have_one_name(client: Client) -> None:
    CsvLayout.objects.create(name="Hofbank", heading="x")
    look(client, BANK)
    draft = StatementDraft.objects.get()

    answer = client.post(
        f"{MONEY}statements/look/{draft.pk}/columns/", {"label": "hofbank", "date": "0", "amount": "1"}
    )

    assert answer.status_code == 422
    assert "another shape" in answer.text


@pytest.mark.long
def test_a_transfer_is_split_on_the_page_and_wrong_shares_stay_typed(client: Client) -> None:
    one, two = due("300.00"), due("450.00")
    look(client, statement(transfer("750.00", text=f"{reference(one)} {reference(two)}")), "a.xml")
    client.post(f"{MONEY}statements/look/{StatementDraft.objects.get().pk}/take-in/")
    entry = StatementEntry.objects.get()
    page = client.get(f"{MONEY}unmatched/").text
    assert all(text in page for text in (one.number, two.number, 'value="300.00"', 'value="450.00"'))
    prefix = f"share-{entry.pk}"

    def post(*shares: tuple[str, str]):  # type: ignore[no-untyped-def]
        data = {f"{prefix}-TOTAL_FORMS": len(shares), f"{prefix}-INITIAL_FORMS": 0}
        for number, (job, amount) in enumerate(shares):
            data |= {f"{prefix}-{number}-job": job, f"{prefix}-{number}-amount": amount}
        return client.post(f"{MONEY}entries/{entry.pk}/split/", data)

    for wrong, message in (
        ([(one.number, "300"), (two.number, "449.99")], "The shares come to"),
        ([(one.number, "300"), ("K-1", "450")], "There is no job"),
        ([(one.number, "300"), (two.number, "")], "belong together"),
    ):
        answer = post(*wrong)
        assert answer.status_code == 422
        assert message in answer.text
        assert 'value="300"' in answer.text
    assert post((one.number, "300"), (two.number, "450"), ("", "")).status_code == 302
    assert (account(one).covered, account(two).covered) == (True, True)


@pytest.mark.long
def test_a_doubt_is_settled_and_a_bounce_named_on_the_page(client: Client) -> None:
    job = due("450.00")
    look(client, statement(transfer("300.00", reference=reference(job))), "a.xml")
    client.post(f"{MONEY}statements/look/{StatementDraft.objects.get().pk}/take-in/")
    look(
        client,
        b"date;amount;name;text\n31.03.2026;300,00;Ida Sommer;van\n02.04.2026;-300,00;Ida Sommer;back\n",
    )
    seen = client.get(f"{MONEY}statements/look/{StatementDraft.objects.get().pk}/").text
    assert "asks you" in seen
    client.post(f"{MONEY}statements/look/{StatementDraft.objects.get().pk}/take-in/")
    doubt = StatementEntry.objects.get(state="doubt")
    page = client.get(f"{MONEY}unmatched/").text
    assert "It is the same" in page

    client.post(f"{MONEY}entries/{doubt.pk}/same/", {"is": "same"})
    doubt.refresh_from_db()
    assert doubt.state == "known"
    back = StatementEntry.objects.get(amount=-300)
    client.post(f"{MONEY}entries/{back.pk}/reopen/")
    original = StatementEntry.objects.get(state="matched")
    assert "It takes back the payment" in client.get(f"{MONEY}unmatched/").text
    client.post(f"{MONEY}entries/{back.pk}/bounce/", {"original": original.pk})
    assert account(job).held == 0
    assert client.post(f"{MONEY}entries/{back.pk}/bounce/", {"original": "x"}).status_code == 404


def test_money_in_another_currency_has_no_button_to_book_it(client: Client) -> None:
    due()
    look(client, statement(transfer("300.00", currency="CHF", text="van")), "a.xml")
    client.post(f"{MONEY}statements/look/{StatementDraft.objects.get().pk}/take-in/")

    page = client.get(f"{MONEY}unmatched/").text

    assert "another currency" in page
    assert "Book for" not in page


@pytest.mark.long
def test_the_waiting_list_has_pages_and_an_answer_stays_on_its_page(client: Client) -> None:
    entries = [transfer(f"{n}.00", text=f"nr {n}") for n in range(1, 24)]
    look(client, statement(*entries), "a.xml")
    client.post(f"{MONEY}statements/look/{StatementDraft.objects.get().pk}/take-in/")

    first, third = (client.get(f"{MONEY}unmatched/?page={page}").text for page in (1, 3))

    assert (first.count('id="entry-'), third.count('id="entry-')) == (10, 3)
    last = StatementEntry.objects.get(amount=23)
    answer = client.post(f"{MONEY}entries/{last.pk}/aside/", {"note": "scrap", "page": "3"})
    assert answer.url.endswith("?page=3")
    wrong = client.post(f"{MONEY}entries/{last.pk}/match/", {"job": "K-0", "page": "1"})
    assert (wrong.status_code, f'id="entry-{last.pk}"' in wrong.text) == (422, True)


@pytest.mark.long
def test_day_and_customer_pages(client: Client) -> None:
    job = due()
    book_payment(job_id=job.pk, amount=Decimal(20), received_on=timezone.localdate(), method="cash", by=None)

    day = client.get(f"{MONEY}day/")
    assert job.number in day.text
    assert client.get(f"{MONEY}day/?day=2020-01-01").text.count("Nothing came in on this day") == 1
    assert client.get(f"{MONEY}day/?day=x").status_code == 422
    assert job.number in client.get(f"{MONEY}customer/?email=ida@customer.example").text
    assert "customer/?email=ida%40customer.example" in client.get(f"/workshop/jobs/{job.number}/money/").text
    assert client.get(f"{MONEY}customer/?email=").status_code == 404


@pytest.mark.parametrize(
    ("page", "german"),
    [
        ("statements/", "Kontoauszüge"),
        ("unmatched/", "Geld, das auf Sie wartet"),
        ("day/", "Tagesabschluss"),
        ("customer/?email=ida@customer.example", "Konto von Ida Sommer"),
    ],
)
def test_pages_speak_german(client: Client, page: str, german: str) -> None:
    due()
    # A request leaves its language behind in the thread; the override puts back the one before.
    with translation.override("en-gb"):
        answer = client.get(f"{MONEY}{page}", headers={"accept-language": "de"})

    assert german in answer.text
