"""Parts lists and purchase orders as CSV for spreadsheets and suppliers.

UTF-8 with a byte order mark (so that spreadsheets read umlauts), commas, every cell quoted, CRLF as in
RFC 4180. A text cell that a spreadsheet would take for a formula gets an apostrophe in front.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from configurator.builds.records import PieceFacts
from shop.jobs.cells import safe_cell
from shop.jobs.models import Job

from .demand import job_parts, need_dates
from .models import JobPart, PurchaseOrder

ORDER = {name: place for place, name in enumerate(PieceFacts.model_fields)}
PARTS_COLUMNS = (
    "supplier",
    "supplier_reference",
    "item",
    "name",
    "details",
    "quantity",
    "unit",
    "pack_size",
    "unit_cost_net",
    "need_by",
    "for",
    "where",
    "why",
    "job",
)
ORDER_COLUMNS = (
    "order",
    "line",
    "supplier_reference",
    "item",
    "name",
    "details",
    "quantity",
    "unit",
    "unit_cost_net",
    "amount_net",
    "currency",
    "need_by",
)


def as_csv(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    """Return a CSV file with a heading."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL)
    writer.writerow(columns)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")


def details(facts: dict[str, Any]) -> str:
    """Return what identifies a piece, in words: ``shank 42 mm, cone60, black``.

    In the order of ``PieceFacts``: a database may keep the names of a JSON object in an order of its own.
    """
    said = []
    for name, value in sorted(facts.items(), key=lambda fact: (ORDER.get(fact[0], len(ORDER)), fact[0])):
        if value in (None, "", False):
            continue
        word = name.removesuffix("_mm").removesuffix("_c").removesuffix("_um").replace("_", " ")
        unit = " mm" if name.endswith("_mm") else ""
        if value is True:
            said.append(word)
        elif isinstance(value, float):
            said.append(f"{word} {value:g}{unit}")
        else:
            said.append(f"{word} {value}{unit}")
    return ", ".join(said)


def parts_csv(job: Job, supplier: str) -> bytes:
    """Return the job's list for one supplier; an unknown supplier gives the heading alone."""
    parts = list(job_parts(job).filter(supplier=supplier))
    dates = need_dates(parts)
    return as_csv(PARTS_COLUMNS, (_part_row(job, part, dates[part.pk]) for part in parts))


def _part_row(job: Job, part: JobPart, need_by: date | None) -> tuple[Any, ...]:
    return (
        part.supplier_name,
        part.supplier_ref,
        part.item,
        part.name,
        details(part.facts),
        part.quantity,
        part.unit,
        part.pack_size,
        part.unit_cost_net,
        need_by,
        "; ".join(part.for_names),
        part.where,
        part.why,
        job.number,
    )


def parts_zip(job: Job) -> bytes:
    """Return one CSV file for each supplier of the job, in a ZIP archive."""
    by_supplier: dict[str, str] = defaultdict(str)
    for code, name in job_parts(job).values_list("supplier", "supplier_name"):
        by_supplier[code] = name
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for code in sorted(by_supplier):
            # A fixed date: the same list gives the same bytes.
            info = zipfile.ZipInfo(f"{job.number}-{code}.csv", date_time=(2000, 1, 1, 0, 0, 0))
            archive.writestr(info, parts_csv(job, code), zipfile.ZIP_DEFLATED)
    return out.getvalue()


def order_csv(order: PurchaseOrder) -> bytes:
    """Return a purchase order as CSV."""
    return as_csv(
        ORDER_COLUMNS,
        (
            (
                order.number,
                line.position,
                line.supplier_ref,
                line.item,
                line.name,
                details(line.facts),
                line.quantity,
                line.unit,
                line.unit_cost_net,
                line.amount_net,
                order.currency,
                line.need_by,
            )
            for line in order.lines.all()
        ),
    )
