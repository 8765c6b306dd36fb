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

from django.conf import settings
from django.utils.translation import gettext_lazy as _
from django.utils.translation import override

from configurator.builds.records import PieceFacts
from configurator.catalogue.models import Supplier
from configurator.pages import told_codes
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


WORDS = {
    "kind": _("kind %(value)s"),
    "thread": _("thread %(value)s"),
    "shank_mm": _("shank %(value)s mm"),
    "bore_mm": _("bore %(value)s mm"),
    "seat": _("seat %(value)s"),
    "property_class": _("property class %(value)s"),
    "locking": _("locking"),
    "system": _("system %(value)s"),
    "coat": _("coat %(value)s"),
    "dry_film_um": _("dry film %(value)s µm"),
    "voc_g_per_l": _("solvents %(value)s g/l"),
    "max_temperature_c": _("max temperature %(value)s"),
    "finish": _("finish %(value)s"),
    "hex": _("hex %(value)s"),
    "paint_code": _("paint code %(value)s"),
}
"""How a fact of a piece is told to whoever is to supply it."""
KINDS = {"bolt": _("bolt"), "nut": _("nut")}


def details(facts: dict[str, Any]) -> str:
    """Return what identifies a piece, in words: ``shank 42 mm, seat cone60, locking``.

    In the order of ``PieceFacts``: a database may keep the names of a JSON object in an order of its own.
    """
    said = []
    for name, value in sorted(facts.items(), key=lambda fact: (ORDER.get(fact[0], len(ORDER)), fact[0])):
        if value in (None, "", False):
            continue
        shown = f"{value:g}" if isinstance(value, float) else _told(name, value)
        said.append(str(WORDS.get(name, f"{name} %(value)s")) % {"value": shown})
    return ", ".join(said)


def _told(name: str, value: Any) -> str:
    """Return a fact's value in words: kinds, seats and stages are codes."""
    if name == "kind":
        return str(KINDS.get(value, value))
    if name == "coat":
        return str(told_codes.stage(str(value)))
    return str(value)


def language_of(order: PurchaseOrder) -> str:
    """Return the language in which a supplier is written to."""
    return order.supplier_address.get("language") or settings.LANGUAGE_CODE


def parts_csv(job: Job, supplier: str) -> bytes:
    """Return the job's list for one supplier; an unknown supplier gives the heading alone."""
    parts = list(job_parts(job).filter(supplier=supplier))
    dates = need_dates(parts)
    known = Supplier.objects.filter(code=supplier).first()
    with override((known and known.language) or settings.LANGUAGE_CODE):
        return as_csv(PARTS_COLUMNS, [_part_row(job, part, dates[part.pk]) for part in parts])


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
    """Return a purchase order as CSV, what identifies a piece in the supplier's language."""
    with override(language_of(order)):
        return as_csv(
            ORDER_COLUMNS,
            [
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
            ],
        )
