"""Orders and parts lists as CSV, whole: every cell under its heading."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import datetime

import pytest
from django.utils import timezone

from shop.parts.csv_export import order_csv, parts_csv, parts_zip
from tests.shop import factories

from .orders import order

pytestmark = pytest.mark.django_db


def cells(data: bytes) -> list[list[str]]:
    assert data.startswith(b'\xef\xbb\xbf"')
    assert data.endswith(b'"\r\n')
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_the_whole_order_as_csv() -> None:
    heading, wheel, grease = cells(order_csv(order()))
    assert dict(zip(heading, wheel, strict=True)) == {
        "order": "PO-1",
        "line": "1",
        "supplier_reference": "NW-8018",
        "item": "wheel-a",
        "name": "Wheel A 8 x 18",
        "details": "finish gloss black, bore 66.6 mm",
        "quantity": "4",
        "unit": "each",
        "unit_cost_net": "110",
        "amount_net": "440",
        "currency": "EUR",
        "need_by": "2026-06-10",
    }
    assert grease == ["PO-1", "2", "", "grease", "Grease", "", "60", "g", "0.0975", "5.85", "EUR", ""]


def test_the_whole_parts_list_as_csv() -> None:
    part = factories.part(
        facts={"finish": "black", "shank_mm": 35.0, "max_temperature_c": 60, "locking": True, "seat": ""}
    )
    job = factories.job(factories.evaluation(parts=(part,)))
    job.operations.filter(key="lacquer").update(
        planned_start=datetime(2026, 6, 10, 12, tzinfo=timezone.get_current_timezone())
    )
    heading, row = cells(parts_csv(job, "northwheel"))
    assert dict(zip(heading, row, strict=True)) == {
        "supplier": "Northwheel",
        "supplier_reference": "NW-8018",
        "item": "wheel-a",
        "name": "Wheel A 8 x 18",
        "details": "shank 35 mm, locking, max temperature 60, finish black",
        "quantity": "4",
        "unit": "each",
        "pack_size": "1",
        "unit_cost_net": "110",
        "need_by": "2026-06-09",
        "for": "Wheel A",
        "where": "front and rear axle",
        "why": "chosen",
        "job": job.number,
    }
    assert cells(parts_csv(job, "nobody")) == [heading]
    # The same list gives the same bytes, packed too.
    assert parts_zip(job) == parts_zip(job)
    with zipfile.ZipFile(io.BytesIO(parts_zip(job))) as archive:
        (info,) = archive.infolist()
    assert (info.date_time, info.compress_type) == ((2000, 1, 1, 0, 0, 0), zipfile.ZIP_DEFLATED)
