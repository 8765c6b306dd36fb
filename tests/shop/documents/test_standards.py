"""Papers keep to PDF/A (ISO 19005) and PDF/UA-1 (ISO 14289-1): tagged, titled, in a language, to be kept.

The engine refuses what breaks either standard; here two other readers, pypdf and qpdf, see what it made.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import pikepdf
import pytest
from django.utils import translation
from pypdf import PdfReader

from shop.documents import render
from shop.documents.render import STAND_IN, printable
from shop.documents.service import content_of, open_paper
from shop.models import Invoice, Job, PurchaseOrder
from shop.money.addresses import keep_address
from shop.money.invoices import issue_invoice
from shop.parts.service import place_order
from tests.shop import factories

pytestmark = pytest.mark.django_db
# The blocks of Unicode that a customer in our market types, and what a note holds beside letters.
BLOCKS = {
    "Latin": (0x20, 0x24F),
    "Greek": (0x370, 0x3FF),
    "Cyrillic": (0x400, 0x52F),
    "more Latin": (0x1E00, 0x1EFF),
    "marks": (0x2000, 0x206F),
    "figures above and below": (0x2070, 0x209F),
    "money": (0x20A0, 0x20BF),
    "arrows and signs": (0x2190, 0x22FF),
    "boxes": (0x25A0, 0x25FF),
    "none of ours": (0x1F600, 0x1F610),
}


@pytest.fixture
def job(db: None) -> Job:
    factories.make_workshop(tax_number="DE136695976", currency="EUR")
    return factories.job(
        factories.evaluation(
            factories.fit_row(verdict="measure", margin=0.5, message="Measure the caliper."),
            parts=(factories.part(),),
            price=factories.price("1190.00", "357.00"),
        ),
        state="deposit_due",
    )


def about(kind: str, job: Job) -> Job | PurchaseOrder | Invoice:
    if kind == "purchase order":
        Job.objects.update(state="deposit_in")
        return place_order(supplier="northwheel", by=None, note="Ring at the gate.")
    if kind in ("handover", "invoice"):
        job.state = "handed_over" if kind == "handover" else "ready"
        job.save()
    if kind == "invoice":
        address = {"name": "Anna", "street": "Am Anger 2", "postcode": "1", "town": "Ort", "country": "DE"}
        keep_address(job_id=job.pk, by="customer", address=address)
        return issue_invoice(job_id=job.pk, by=None)
    return job


def roles(node: Any) -> Iterator[str]:
    """Yield the types of a file's structure elements in reading order."""
    if isinstance(node, list):
        for one in node:
            yield from roles(one)
    elif hasattr(node, "get_object") and isinstance(found := node.get_object(), dict):
        if "/S" in found:
            yield str(found["/S"])
        yield from roles(found.get("/K", []))


KINDS = ("quote", "specification", "deposit", "job sheet", "purchase order", "handover", "invoice")


@pytest.mark.parametrize("language", ["en-gb", "de"])
@pytest.mark.parametrize("kind", KINDS)
def test_every_paper_is_tagged_titled_and_clean(job: Job, kind: str, language: str) -> None:
    job.spec.language = job.revision.language = language
    job.spec.save()
    job.revision.save()
    with translation.override(language):
        data = open_paper(kind=kind, about=about(kind, job)).data

    root = PdfReader(io.BytesIO(data)).trailer["/Root"]
    found = list(roles(root["/StructTreeRoot"]["/K"]))
    assert found.count("/H1") == 1
    assert "/H2" in found
    assert found.index("/H1") < found.index("/H2")
    assert "/Table" not in found or "/TH" in found
    assert root["/MarkInfo"]["/Marked"]
    assert str(root["/Lang"])[:2].lower() == language[:2]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    with pikepdf.open(io.BytesIO(data)) as file:
        assert file.check_pdf_syntax() == []
        said = file.open_metadata()
        assert job.number in said["dc:title"] or kind in ("purchase order", "invoice")
        assert said["pdfaid:part"] == ("3" if kind == "invoice" else "2")
        if kind != "invoice":  # the library that puts the data in writes these words anew
            assert (said["pdfaid:conformance"], said["pdfuaid:part"]) == ("A", "1")


def test_pictures_on_papers_say_what_they_show(job: Job) -> None:
    data = open_paper(kind="deposit", about=job).data

    with pikepdf.open(io.BytesIO(data)) as file:
        shown = [
            str(one.Alt) for one in file.objects if isinstance(one, pikepdf.Dictionary) and "/Alt" in one
        ]
    assert shown == ["Payment code"]


@pytest.mark.parametrize("block", BLOCKS)
def test_whatever_is_typed_is_printed_or_stands_as_an_empty_square(job: Job, block: str) -> None:
    first, last = BLOCKS[block]
    typed = "".join(map(chr, range(first, last + 1)))
    data = content_of("deposit", job) | {"why": typed}

    assert render.pdf("deposit", data).startswith(b"%PDF")
    lost = [one for one in typed if printable(one) == STAND_IN != one]
    assert len(lost) == len(typed) if block == "none of ours" else len(lost) < len(typed) / 3


def test_a_note_keeps_all_but_what_has_no_shape() -> None:
    assert printable({"a": ["Größe 8½″ → ok 😀\n", 1.5, None]}) == {"a": ["Größe 8½″ → ok □\n", 1.5, None]}
