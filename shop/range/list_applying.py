"""A confirmed price list put live: one transaction, so that being killed half-way leaves what was live."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import islice
from typing import Any

from django.db import transaction

from configurator.catalogue import models as m
from configurator.catalogue.going_live import release_of
from configurator.catalogue.history import Change, Origin
from configurator.catalogue.models import CatalogueVersion, Item
from configurator.outbox.handlers import PLANS, handles
from configurator.outbox.service import promise

from .models import PriceLayout, PriceLine, PriceList
from .prices import KIND_OF, kind_of_item
from .progress import noted

BATCH = 500
LIVE = "price list live"
NOTHING = Decimal(0)
State, Verdict = PriceList.State, PriceLine.Verdict


@transaction.atomic
def confirm(*, list_id: int, by: Any, seen: int | None = None) -> bool:
    """Promise to put a list live; pressed twice it is one deed. Returns whether this call did.

    ``seen`` is which reading of the list was looked at: read again since, it would change other rows.
    """
    found = PriceList.objects.select_for_update().get(pk=list_id)
    if found.state != State.READY or seen not in (None, found.tries):
        return False
    found.state, found.by = State.CONFIRMED, by
    found.save(update_fields=["state", "by"])
    promise(kind=LIVE, key=f"{LIVE}:{found.pk}", payload={"list": found.pk})
    return True


@handles(LIVE, queue=PLANS)
def put_list_live(payload: dict[str, Any]) -> None:
    """Write a confirmed list as one version; run again it finds it live. Part of the keeper's transaction.

    Prices and plain goods cannot make rules contradict each other, so the rules are not judged anew.
    """
    found = PriceList.objects.select_for_update().get(pk=payload["list"])
    if found.state != State.CONFIRMED:
        return
    CatalogueVersion.objects.select_for_update().first()
    layout = PriceLayout.objects.get(supplier=found.supplier)
    count = found.lines.exclude(verdict__in=(Verdict.SAME, Verdict.BAD)).count()
    steps = _Steps(found.pk, count)
    left = sum(_change(batch) for batch in steps(_batches(found, Verdict.CHANGED)))
    if layout.adds_new:
        supplier = m.Supplier.objects.get(code=found.supplier)
        left += sum(_add(batch, supplier) for batch in steps(_batches(found, Verdict.NEW)))
    if layout.retires_gone:
        left += sum(_retire(batch) for batch in steps(_batches(found, Verdict.GONE)))
    found.release = release_of(origin=Origin.PRICE_LIST, changes=_noted(found), by=found.by, title=found.name)
    found.state, found.left = State.LIVE, left
    found.data = b""
    found.save()


class _Steps:
    """Tells how far putting live is, batch by batch."""

    def __init__(self, list_id: int, count: int) -> None:
        self.list_id, self.count, self.done = list_id, count, 0

    def __call__(self, batches: Iterator[list[PriceLine]]) -> Iterator[list[PriceLine]]:
        """Yield the batches, each counted once it is done."""
        for batch in batches:
            yield batch
            self.done += len(batch)
            noted(LIVE, self.list_id, self.done, self.count)


def _batches(found: PriceList, verdict: str) -> Iterator[list[PriceLine]]:
    rows = found.lines.filter(verdict=verdict).order_by("pk").iterator(chunk_size=BATCH)
    while batch := list(islice(rows, BATCH)):
        yield batch


def _change(batch: list[PriceLine]) -> int:
    """Write new prices where the goods still cost what the preview said; return how many were left."""
    items = Item.objects.in_bulk([line.code for line in batch], field_name="code")
    changed, left = [], []
    for line in batch:
        item = items.get(line.code)
        if item is None or (item.unit_cost, item.unit_price) != (line.cost_before, line.price_before):
            left.append(line)
            continue
        item.unit_cost, item.unit_price = line.cost_after or NOTHING, line.price_after or NOTHING
        line.figure = "back" if item.retired else ""
        item.retired = False
        changed.append(item)
    Item.objects.bulk_update(changed, ["unit_cost", "unit_price", "retired"], batch_size=BATCH)
    back = [line.pk for line in batch if line.figure == "back"]
    PriceLine.objects.filter(pk__in=back).update(figure="back")
    PriceLine.objects.filter(pk__in=[line.pk for line in left]).update(verdict=Verdict.BAD, why="meanwhile")
    return len(left)


def _add(batch: list[PriceLine], supplier: m.Supplier) -> int:
    """Write new goods; one whose code is taken already is left."""
    codes = {line.pk: code_of(supplier.code, line.ref) for line in batch}
    taken = set(Item.objects.filter(code__in=codes.values()).values_list("code", flat=True))
    new, left = [], []
    for line in batch:
        if codes[line.pk] in taken:
            left.append(line.pk)
            continue
        taken.add(codes[line.pk])
        line.code = codes[line.pk]
        new.append(line)
    Item.objects.bulk_create(
        [
            Item(
                code=line.code,
                name=line.name,
                supplier=supplier,
                supplier_ref=line.ref,
                unit=line.unit,
                pack_size=Decimal(line.pack).quantize(Decimal("0.001")),
                unit_cost=line.cost_after or NOTHING,
                unit_price=line.price_after or NOTHING,
            )
            for line in new
        ],
        batch_size=BATCH,
    )
    PriceLine.objects.bulk_update(new, ["code"], batch_size=BATCH)
    PriceLine.objects.filter(pk__in=left).update(verdict=Verdict.BAD, why="taken")
    return len(left)


def code_of(supplier: str, ref: str) -> str:
    """Return the code of a new thing: the supplier's and their number, as codes are written."""
    plain = re.sub(r"[^a-z0-9.+-]+", "-", ref.casefold()).strip("-.+")
    return f"{supplier}-{plain}"[:60]


def _retire(batch: list[PriceLine]) -> int:
    """Retire goods that are no longer on the list, but not those that recipes and options still need."""
    codes = [line.code for line in batch]
    needed = used(codes)
    Item.objects.filter(code__in=set(codes) - needed).update(retired=True)
    left = [line.pk for line in batch if line.code in needed]
    PriceLine.objects.filter(pk__in=left).update(verdict=Verdict.BAD, why="used")
    return len(left)


def used(codes: list[str]) -> set[str]:
    """Return those of these goods that recipes, options, coats of paint or rules need."""
    used = set(m.Material.objects.filter(item__code__in=codes).values_list("item__code", flat=True))
    used |= set(m.Option.objects.filter(item__code__in=codes).values_list("item__code", flat=True))
    used |= set(m.PaintLayer.objects.filter(item__code__in=codes).values_list("item__code", flat=True))
    used |= {line["item"] for brings in m.Rule.objects.values_list("brings", flat=True) for line in brings}
    return used & set(codes)


def _noted(found: PriceList) -> Iterator[Change]:
    """Yield what the list changed, row by row, for the history."""
    layout = PriceLayout.objects.get(supplier=found.supplier)
    wanted = [Verdict.CHANGED]
    wanted += [Verdict.NEW] if layout.adds_new else []
    wanted += [Verdict.GONE] if layout.retires_gone else []
    for verdict in wanted:
        for batch in _batches(found, verdict):
            kinds = _kinds([line.code for line in batch])
            for line in batch:
                before, after = _told(line)
                yield kinds.get(line.code, "items"), line.code, before, after


def _kinds(codes: list[str]) -> dict[str, str]:
    items = Item.objects.filter(code__in=codes).select_related(*KIND_OF)
    return {item.code: kind_of_item(item) for item in items}


def _told(line: PriceLine) -> tuple[dict[str, Any] | None, dict[str, Any] | None]:
    if line.verdict == Verdict.GONE:
        return {"retired": False}, {"retired": True}
    after: dict[str, Any] = {"unit_cost": _short(line.cost_after), "unit_price": _short(line.price_after)}
    if line.verdict == Verdict.NEW:
        return None, {"name": line.name, "supplier_ref": line.ref, **after}
    before: dict[str, Any] = {"unit_cost": _short(line.cost_before), "unit_price": _short(line.price_before)}
    if line.figure == "back":
        before, after = {**before, "retired": True}, {**after, "retired": False}
    return before, after


def _short(amount: Decimal | None) -> str:
    return "" if amount is None else f"{amount.normalize():f}"
