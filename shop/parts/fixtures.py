"""The opening stock among the catalogue's files: ``stock.csv`` with item, quantity and shelf."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Any, ClassVar

from pydantic import Field

from configurator.catalogue.files import register
from configurator.catalogue.kinds import Kind
from configurator.catalogue.rows import Code, Row
from configurator.catalogue.writing import Writer
from configurator.models import Item

from . import shortages
from .models import StockLevel, StockMovement


class StockRow(Row):
    """One item on the shelf when the workshop starts with this program."""

    refs: ClassVar[dict[str, str]] = {"item": "items"}
    key_fields: ClassVar[tuple[str, ...]] = ("item",)
    item: Code
    quantity: Annotated[Decimal, Field(ge=0, max_digits=12, decimal_places=3, allow_inf_nan=False)]
    shelf: Annotated[str, Field(max_length=40)] = ""


def write_stock(writer: Writer, rows: list[StockRow]) -> None:
    """Write opening levels; an item that has a level already keeps it, since the shelf is the truth."""
    known = set(StockLevel.objects.values_list("sku", flat=True))
    new = [row for row in rows if row.item not in known]
    StockLevel.objects.bulk_create(
        StockLevel(sku=row.item, quantity=row.quantity, shelf=row.shelf) for row in new
    )
    StockMovement.objects.bulk_create(
        StockMovement(sku=row.item, quantity=row.quantity, reason=StockMovement.Reason.OPENING)
        for row in new
        if row.quantity
    )
    shortages.mark(row.item for row in new)


def read_stock() -> Iterator[dict[str, Any]]:
    """Yield what lies on the shelves of items; paint mixed to a colour is no item, so no file can say it."""
    codes = set(Item.objects.values_list("code", flat=True))
    for level in StockLevel.objects.order_by("sku"):
        if level.sku in codes:
            yield {"item": level.sku, "quantity": f"{level.quantity.normalize():f}", "shelf": level.shelf}


def register_stock() -> None:
    """Have the loader read ``stock.csv``; called from ``ShopConfig.ready``."""
    register(Kind("stock", "stock.csv", StockRow, write_stock, required=False, read=read_stock))
