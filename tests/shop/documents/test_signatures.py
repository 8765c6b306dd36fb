"""Signatures are under something: whatever the length of a paper, its last line stands on their page."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pytest
from pypdf import PdfReader

from shop.documents import render
from shop.documents.service import content_of
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db
# A paper of a page, one whose end is near the page's, and a longer one; among the long tests many.
LENGTHS = [(2, 17, 47), pytest.param(tuple(range(2, 62, 3)), marks=pytest.mark.long)]
Paper = dict[str, Any]


@pytest.fixture
def job(db: None) -> Job:
    """A job whose papers are in German, where lines are longer."""
    factories.make_workshop()
    made = factories.job(factories.evaluation(parts=(factories.part(),)), state="handed_over")
    made.revision.language = "de"
    made.revision.save()
    return made


def pages(template: str, data: Paper) -> list[str]:
    read = PdfReader(io.BytesIO(render.pdf(template, data)))
    return [" ".join(page.extract_text().split()) for page in read.pages]


def end_of(text: str) -> str:
    """Return the last words of a text, as they stand in one line or two."""
    return " ".join(text.split()[-3:])


def more_parts(data: Paper, many: int) -> None:
    data["parts"] = data["parts"][:1] * many


def more_steps(data: Paper, many: int) -> None:
    stage = data["stages"][0]
    data["stages"] = [stage | {"steps": stage["steps"][:1] * (1 + many // 2)}]


def more_fitted(data: Paper, many: int) -> None:
    data["fitted"] = data["fitted"][:1] * many


def more_cautions(data: Paper, many: int) -> None:
    data["cautions"] = [f"{n}. {data['cautions'][-1]}" for n in range(many)]


def one_caution(data: Paper, many: int) -> None:
    more_fitted(data, many)
    data["cautions"], data["care"] = data["cautions"][-1:], []


def check(template: str, data: Paper, label: str, last: str) -> int:
    """Check each page with this label for a signature; return how many pages the paper has."""
    read = pages(template, data)
    signed = [page for page in read if label in page]
    assert signed, label
    for page in signed:
        assert end_of(last) in page.partition(label)[0], page
    return len(read)


@pytest.mark.long
@pytest.mark.parametrize("several", LENGTHS)
@pytest.mark.parametrize("more", [more_parts, more_steps, more_cautions])
def test_a_job_sheet_is_signed_under_its_last_caution(
    job: Job, more: Callable[[Paper, int], None], several: tuple[int, ...]
) -> None:
    data, lengths = content_of("job sheet", job), set()
    for many in several:
        more(data, many)
        lengths.add(check("job_sheet", data, data["t"]["sign_final"], data["cautions"][-1]))
    assert len(lengths) > 1, "the lengths end on several pages"


@pytest.mark.long
@pytest.mark.parametrize("several", LENGTHS)
@pytest.mark.parametrize("more", [more_fitted, more_cautions, one_caution])
def test_a_handover_is_signed_under_its_last_caution_and_the_insurers_note(
    job: Job, more: Callable[[Paper, int], None], several: tuple[int, ...]
) -> None:
    data, lengths = content_of("handover", job), set()
    for many in several:
        more(data, many)
        lengths.add(check("handover", data, data["t"]["sign_customer"], data["cautions"][-1]))
        *_before, page = [one for one in pages("handover", data) if data["t"]["sign_workshop"] in one]
        assert end_of(data["t"]["insurer_note"]) in page.partition(data["t"]["sign_workshop"])[0]
    assert len(lengths) > 1, "the lengths end on several pages"


def test_a_specification_is_signed_by_nobody(job: Job) -> None:
    """It is agreed to on the customer's page: a line to sign would ask for it twice."""
    data = content_of("specification", job)
    text = " ".join(pages("specification", data))
    assert not [name for name in data["t"] if name.startswith("sign_") and data["t"][name] in text]
