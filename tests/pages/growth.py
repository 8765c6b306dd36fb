"""The demonstration catalogue with many times as many wheels: the same ones under new codes."""

from __future__ import annotations

import copy
from typing import Any

from configurator.catalogue import snapshot
from configurator.models import CatalogueVersion, Item, Wheel


def grow(times: int) -> None:
    """Make wheels ``times`` as many and publish them as a new catalogue version.

    Tyres and spacers stay: the rules write pairs of tyres out, which is a cost of a new catalogue
    version, not of an update.
    """
    for model in (Wheel,):
        rows = list(model.objects.select_related("item"))
        items = [_as(row.item, f"{row.code}-{n}") for row in rows for n in range(1, times)]
        Item.objects.bulk_create(items)
        copies = [_part(row, item) for (row, _n), item in zip(_pairs(rows, times), items, strict=True)]
        model.objects.bulk_create(copies)
    newest = CatalogueVersion.objects.first()
    assert newest is not None
    CatalogueVersion.objects.create(number=newest.number + 1, digest=f"grown {times}")
    snapshot.forget()


def _pairs(rows: list[Any], times: int) -> list[tuple[Any, int]]:
    return [(row, n) for row in rows for n in range(1, times)]


def _as(row: Any, code: str) -> Any:
    twin = copy.copy(row)
    twin.pk, twin.code = None, code[:60]
    return twin


def _part(row: Any, item: Item) -> Any:
    twin = copy.copy(row)
    twin.item = item
    return twin
