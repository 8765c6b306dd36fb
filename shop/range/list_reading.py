"""A price list read in the background into rows to look at: bounded memory, progress, safe to begin again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal
from itertools import chain, islice
from typing import Any

from django.db import transaction
from django.utils import timezone

from configurator.catalogue import workshop
from configurator.catalogue.models import Item
from configurator.outbox.handlers import PLANS, handles
from configurator.outbox.service import promise

from .list_cells import ListError, Row, heading_and_rows, usual_mark
from .list_reckoning import Reckoned, Reckoning, decimal_mark, reckon
from .models import PriceLayout, PriceLine, PriceList

BATCH = 1000
LOST_AFTER = timedelta(minutes=2)
State, Verdict = PriceList.State, PriceLine.Verdict


@dataclass(frozen=True)
class Known:
    """What the catalogue says of one of the supplier's goods."""

    code: str
    cost: Decimal
    price: Decimal
    retired: bool


@transaction.atomic
def ask_to_read(list_id: int) -> None:
    """Promise to read a list with the layout that its supplier has by now."""
    found = PriceList.objects.select_for_update().get(pk=list_id)
    if found.state in (State.UPLOADED, State.READY, State.FAILED):
        found.state, found.rows_read, found.problem, found.beat_at = State.READING, 0, "", None
        found.tries += 1
        found.save()
        promise(kind="price list", key=f"price list:{found.pk}:{found.tries}", payload={"list": found.pk})


def read_anew(list_id: int) -> None:
    """Promise to read a list, and all others of its supplier that wait: the layout they share has changed."""
    ask_to_read(list_id)
    supplier = PriceList.objects.values_list("supplier", flat=True).get(pk=list_id)
    waiting = PriceList.objects.filter(supplier=supplier, state=State.READY).exclude(pk=list_id)
    for other in waiting.order_by("pk").values_list("pk", flat=True):
        ask_to_read(other)


@handles("price list", queue=PLANS, atomic=False)
def read_list(payload: dict[str, Any]) -> None:
    """Read a promised list; what was begun and not finished is begun again, what another does is left."""
    if not _begin(payload["list"]):
        return
    found = PriceList.objects.get(pk=payload["list"])
    try:
        _read(found)
    except ListError as error:
        PriceList.objects.filter(pk=found.pk).update(
            state=State.FAILED, problem=error.fault, figure=error.figure
        )


@transaction.atomic
def _begin(list_id: int) -> bool:
    found = PriceList.objects.select_for_update().filter(pk=list_id, state=State.READING).first()
    if found is None or (found.beat_at and timezone.now() - found.beat_at < LOST_AFTER):
        return False
    found.lines.all().delete()
    PriceList.objects.filter(pk=list_id).update(beat_at=timezone.now(), rows_read=0)
    return True


def _read(found: PriceList) -> None:
    layout = PriceLayout.objects.get(supplier=found.supplier)
    _number, heading, rows = opened(found)
    PriceList.objects.filter(pk=found.pk).update(rows_total=count_rows(found))
    known = goods_of(found.supplier)
    first = list(islice(rows, 200))
    how = reckoning(layout, heading, first, usual_mark(bytes(found.data)))
    seen: set[str] = set()
    done = 0
    for batch in _batches(chain(first, rows)):
        lines = [_line(found, number, reckon(cells, how), known, seen, layout) for number, cells in batch]
        with transaction.atomic():
            PriceLine.objects.bulk_create(lines, batch_size=500)
            done += len(batch)
            PriceList.objects.filter(pk=found.pk).update(rows_read=done, beat_at=timezone.now())
    with transaction.atomic():
        PriceLine.objects.bulk_create(_gone(found, known, seen), batch_size=500)
        PriceList.objects.filter(pk=found.pk, state=State.READING).update(state=State.READY)


def opened(found: PriceList) -> tuple[int, list[str], Iterator[Row]]:
    """Return a list's heading with its row's number, and the rows below it."""
    (number, heading), rows = heading_and_rows(bytes(found.data))
    return number, heading, rows


def count_rows(found: PriceList) -> int:
    """Return how many rows there are to read."""
    return sum(1 for _row in heading_and_rows(bytes(found.data))[1])


def reckoning(layout: PriceLayout, heading: list[str], sample: list[Row], mark: str) -> Reckoning:
    """Return how the rows of a list are reckoned; raise ListError where a column is missing.

    ``mark`` is the decimal mark where no price tells it.
    """
    missing = [told for told in layout.columns.values() if told not in heading]
    if missing:
        raise ListError("gone", missing[0])
    columns = {name: heading.index(told) for name, told in layout.columns.items()}
    shop = workshop.current()
    plain = Reckoning(
        columns=columns,
        currency=layout.currency,
        rate=layout.rate,
        tax_included_pct=layout.tax_included_pct,
        groups={group.casefold(): Decimal(off) for group, off in layout.groups.items()},
        markups=[(group.casefold(), Decimal(least), Decimal(on)) for group, least, on in layout.markups],
        step=layout.step,
        ending=layout.ending,
        tax_pct=shop.tax_rate_on(timezone.localdate()) if shop else Decimal(0),
    )
    prices = [cells[columns["cost"]] for _number, cells in sample if len(cells) > columns["cost"]]
    return replace(plain, mark=decimal_mark(prices, mark))


def goods_of(supplier: str) -> dict[str, Known]:
    """Return what the catalogue has of a supplier, by the supplier's number."""
    rows = Item.objects.filter(supplier__code=supplier).exclude(supplier_ref="").order_by("-retired", "pk")
    told = rows.values_list("supplier_ref", "code", "unit_cost", "unit_price", "retired").iterator()
    return {ref: Known(code, cost, price, retired) for ref, code, cost, price, retired in told}


def _batches(rows: Iterator[Row]) -> Iterator[list[Row]]:
    while batch := list(islice(rows, BATCH)):
        yield batch


def _line(
    found: PriceList,
    number: int,
    row: Reckoned,
    known: dict[str, Known],
    seen: set[str],
    layout: PriceLayout,
) -> PriceLine:
    """Return what a row would change."""
    line = PriceLine(list=found, number=number, ref=row.ref, name=row.name, unit=row.unit, pack=row.pack)
    own = known.get(row.ref)
    line.code = own.code if own else ""
    if own is not None:
        line.cost_before, line.price_before = own.cost, own.price
    line.why, line.figure = row.why, row.figure
    if not row.why and row.ref in seen:
        line.why, line.figure = "twice", row.ref
    seen.add(row.ref)
    if own is None and not line.why and layout.adds_new and not (row.name and row.price is not None):
        line.why = "no_name" if not row.name else "no_price"
    if line.why:
        line.verdict = Verdict.BAD
        return line
    line.cost_after = row.cost
    line.price_after = row.price if row.price is not None else line.price_before
    if own is None:
        line.verdict = Verdict.NEW
    else:
        same = (line.cost_after, line.price_after) == (own.cost, own.price) and not own.retired
        line.verdict = Verdict.SAME if same else Verdict.CHANGED
    return line


def _gone(found: PriceList, known: dict[str, Known], seen: set[str]) -> Iterator[PriceLine]:
    for ref, own in known.items():
        if ref not in seen and not own.retired:
            yield PriceLine(
                list=found,
                number=0,
                verdict=Verdict.GONE,
                ref=ref,
                code=own.code,
                cost_before=own.cost,
                price_before=own.price,
            )
