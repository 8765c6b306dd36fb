"""Papers say what they must, escape what customers type, and are made once for the same content."""

from __future__ import annotations

import io
from datetime import date
from decimal import Decimal

import pytest
import zxingcpp
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader

from configurator.models import OutboxEntry, Workshop
from shop.documents import render
from shop.documents.content.customer import NoPaperError
from shop.documents.content.labels import labels
from shop.documents.service import content_of, keep_paper, open_paper
from shop.jobs import service as jobs
from shop.models import Job, Paper
from shop.money.service import book_payment
from shop.parts.service import place_order
from tests.shop import factories

HOSTILE = '#panic("x") $x^2$ *bold* _it_ [box] `raw` \\ // /* <label> @ref #"quoted" = Heading'

PAINT = {
    "finish": "Quay blue",
    "hex": "#204060",
    "paint_code": "BV-532",
    "system": "Plastic panel",
    "coat": "colour",
    "dry_film_um": 18.0,
    "voc_g_per_l": 420.0,
}
HANDED_OVER = (
    "NW-8018",
    "160 N m",
    "158, 161.5",
    "technician",
    "BV-532",
    "12 June 2026",
    "Note for your insurer",
    "registration XB AB 12",
    "customer paints it himself",
)


@pytest.fixture
def workshop(db: None) -> Workshop:
    return factories.make_workshop(
        name="Werkhof & Söhne",
        street="Am Anger 1",
        postcode="12345",
        town="Anderswo",
        phone="+49 30 23125 100",
        tax_number="DE000",
        iban="DE89370400440532013000",
        terms="First paragraph.\n\nSecond paragraph.",
        local_codes="Ask the examiner.",
    )


@pytest.fixture
def job(workshop: Workshop) -> Job:
    parts = (
        factories.part(facts={"finish": "gloss black", "shank_mm": 42.0}),
        factories.part(
            "basecoat",
            name="Basecoat",
            kind="paint",
            unit="l",
            quantity=Decimal("0.35"),
            facts=PAINT,
        ),
    )
    rows = (factories.fit_row(verdict="measure", margin=0.5, message="Measure the caliper."),)
    made = factories.job(
        factories.evaluation(*rows, parts=parts, price=factories.price("1190.00", "357.00")),
        state="deposit_due",
    )
    made.revision.notes = f"Please mind the dog.\n\n{HOSTILE}"
    made.revision.save()
    return made


def text_of(data: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(data)).pages)


def paper(kind: str, about: object) -> str:
    return text_of(open_paper(kind=kind, about=about).data)


def test_deposit_request_has_amount_reference_and_bank(job: Job) -> None:
    text = paper("deposit", job)

    reference = job.deposit_requests.get().reference
    grouped = " ".join(reference[i : i + 4] for i in range(0, len(reference), 4))
    for wanted in (
        "€357.00",
        grouped,
        "DE89 3704 0044 0532 0130 00",
        "Werkhof & Söhne",
        "€1,190.00",
        job.number,
    ):
        assert wanted in text
    assert "Page 1 / 1" in text


def test_the_payment_code_on_the_paper_is_read_back_by_another_library(job: Job) -> None:
    """What a bank's app sees: the page as a picture, decoded by a reader that did not make the code."""
    (page,) = render.png("deposit", content_of("deposit", job), ppi=144)

    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(page)))

    reference = job.deposit_requests.get().reference
    assert found.format == zxingcpp.BarcodeFormat.QRCode
    assert found.ec_level == "M"
    assert found.text == (
        f"BCD\n002\n1\nSCT\n\nWerkhof & Söhne\nDE89370400440532013000\nEUR357.00\n\n{reference}"
    )


def test_deposit_request_without_a_valid_account_says_why_there_is_no_code(job: Job) -> None:
    Workshop.objects.update(iban="DE89370400440532013001")

    assert "No payment code: The workshop’s IBAN is not valid." in paper("deposit", job)


def test_deposit_request_asks_for_what_is_left_and_thanks_when_it_is_there(job: Job) -> None:
    paid = {"job_id": job.pk, "received_on": timezone.localdate(), "method": "cash", "by": None}
    book_payment(**paid, amount=Decimal("100.00"))
    text = paper("deposit", job)
    assert "Please transfer €257.00" in text
    assert "Still to pay €257.00" in text

    book_payment(**paid, amount=Decimal("257.00"))

    text = paper("deposit", job)
    assert "Paid in full, thank you" in text
    assert "Scan with" not in text


def test_quote_has_the_tax_split_and_the_terms(job: Job) -> None:
    text = paper("quote", job)

    for wanted in (
        "Net €1,000.00",
        "Tax 19 % €190.00",
        "€1,190.00",
        "30 % of the total",
        "Second paragraph.",
    ):
        assert wanted in text


def test_job_sheet_has_steps_torque_paint_and_what_to_measure(job: Job) -> None:
    text = paper("job sheet", job)

    for wanted in ("160 N m", "Quay blue", "BV-532", "0.35 l", "18 µm", "Measure the caliper.", "12 h",
                   "Wear air-fed breathing protection.", "Please mind the dog."):  # fmt: skip
        assert wanted in text


def test_specification_has_every_check_and_the_cautions(job: Job) -> None:
    text = paper("specification", job)

    for wanted in (
        "Room for the brake",
        "we measure first",
        "never a certificate",
        "Ask the examiner.",
        "50 to 100 km",
    ):
        assert wanted in text


def test_what_customers_type_is_printed_and_never_run(job: Job) -> None:
    for kind in ("job sheet", "specification"):
        printed = paper(kind, job)
        assert '#panic("x") $x^2$ *bold* _it_ [box] `raw`' in printed
        assert "<label> @ref" in printed


@pytest.mark.long
@settings(max_examples=15)
@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=120))
def test_no_words_break_a_paper(words: str) -> None:
    data = {
        "title": f"No. {words}",
        "number": words,
        "workshop": dict.fromkeys(("name", "address", "contact"), words),
    }
    data |= {"supplier": [words], "facts": [[words, words]], "note": words}
    data |= {"lines": [[words] * 7], "total": [words] * 7, "sums": [[words, words]], **labels()}
    data["dated"] = {"year": 2026, "month": 5, "day": 4}

    assert render.pdf("purchase_order", data).startswith(b"%PDF")


def test_purchase_order_has_lines_and_total(job: Job) -> None:
    Job.objects.update(state="deposit_in")
    order = place_order(supplier="northwheel", by=None, note="Ring at the gate.")

    text = paper("purchase order", order)

    for wanted in (order.number, "NW-8018", "4 ×", "€440.00", "Ring at the gate.", "Quay blue"):
        assert wanted in text


def test_handover_has_parts_torque_paint_recheck_and_the_insurers_note(job: Job) -> None:
    with pytest.raises(NoPaperError, match="when the vehicle is ready"):
        open_paper(kind="handover", about=job)
    clerk = factories.staff("technician")
    job.operations.filter(key="front:torque").update(torque_readings=[158.0, 161.5], done_by=clerk)
    job.operations.filter(key="lacquer").update(is_skipped=True, reason="customer paints it himself")
    job.state, job.recheck_due_on = "handed_over", date(2026, 6, 12)
    job.save()

    text = paper("handover", job)

    for wanted in HANDED_OVER:
        assert wanted in text


@pytest.mark.parametrize("kind", ["quote", "specification", "deposit", "job sheet"])
def test_a_stored_paper_opens_nothing(job: Job, kind: str) -> None:
    """Papers lie in a folder or bucket for years: they carry no private link."""
    made = open_paper(kind=kind, about=job).data
    links = [
        str(mark.get_object()["/A"].get("/URI", ""))
        for page in PdfReader(io.BytesIO(made)).pages
        for mark in page.get("/Annots", [])
        if "/A" in mark.get_object()
    ]
    assert not any("/job/" in link for link in links)
    assert job.token not in text_of(made).replace("\n", "")


def test_opening_again_gives_the_kept_file(job: Job) -> None:
    first = open_paper(kind="quote", about=job)
    kept = Paper.objects.get()
    made_at, name = kept.made_at, kept.file.name

    second = open_paper(kind="quote", about=job)

    kept.refresh_from_db()
    assert (second.data, kept.made_at, kept.file.name) == (first.data, made_at, name)
    assert first.filename == f"{job.number}-quote.pdf"


def test_a_lost_file_and_a_changed_job_are_made_anew(job: Job) -> None:
    open_paper(kind="job sheet", about=job)
    kept = Paper.objects.get()
    kept.file.storage.delete(kept.file.name)
    assert open_paper(kind="job sheet", about=job).data.startswith(b"%PDF")

    job.operations.filter(key="book-in").update(name="Something else")

    assert "Something else" in paper("job sheet", job)
    assert Paper.objects.count() == 1


def test_same_content_same_bytes(job: Job) -> None:
    data = content_of("quote", job)

    assert render.pdf("quote", data) == render.pdf("quote", data)


def test_a_move_promises_its_papers_and_keeping_twice_is_safe(job: Job) -> None:
    jobs.deposit_received(job_id=job.pk, by="system")
    Job.objects.update(state="agreed")
    jobs.move(job_id=job.pk, to="deposit_due", by="system")

    entry = OutboxEntry.objects.get(kind="paper")
    keep_paper(entry.payload)
    keep_paper(entry.payload)

    assert list(Paper.objects.values_list("kind", flat=True)) == ["deposit"]
    keep_paper({"kind": "handover", "about": job.pk})
    keep_paper({"kind": "quote", "about": 10**9})
    assert Paper.objects.count() == 1


def test_pages_are_pictures_too(job: Job) -> None:
    pages = render.png("deposit", content_of("deposit", job), ppi=30)

    assert all(page.startswith(b"\x89PNG") for page in pages)
