"""Words without end stay within their column."""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader

from shop.documents.service import open_paper

from .test_einvoice import invoiced

pytestmark = pytest.mark.django_db
LONG = "Donaudampfschifffahrtsgesellschaftskapitaensmuetzenherstellungsbetriebsgebaeude"


def test_a_name_without_a_blank_breaks_before_it_reaches_the_boxes_beside_it() -> None:
    made = invoiced()
    made.content["buyer"]["name"] = LONG
    page = PdfReader(io.BytesIO(open_paper(kind="invoice", about=made).data)).pages[0]
    lines = re.sub("[\u200b\xad]", "", page.extract_text()).splitlines()
    assert LONG not in lines
    assert LONG in "".join(lines)
    begins = next(at for at, line in enumerate(lines) if line.startswith(LONG[:30]))
    assert len(lines[begins]) < 60
