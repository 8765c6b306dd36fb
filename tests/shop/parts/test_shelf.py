"""What the pages of the shelf and of orders list."""

from __future__ import annotations

from decimal import Decimal

import pytest

from shop.models import StockLevel
from shop.parts.quantities import sku_of
from shop.parts.selectors import found_levels, jobs_of, listed_orders, stock_rows
from shop.parts.service import missing_parts, place_order, reserve
from tests.shop import factories
from tests.shop.factories import job_with

pytestmark = pytest.mark.django_db


def paint(colour: str, quantity: str) -> object:
    return factories.part(
        "basecoat",
        name="Base coat",
        kind="paint",
        unit="l",
        quantity=Decimal(quantity),
        facts={"finish": colour},
    )


def test_paint_is_kept_by_its_colour_and_nothing_else_is() -> None:
    assert sku_of("basecoat", "paint", "Signal red") == "basecoat · Signal red"
    assert sku_of("basecoat", "paint", "") == "basecoat"
    assert sku_of("wheel", "wheel", "Signal red") == "wheel"
    assert len(sku_of("basecoat", "paint", "x" * 200)) == 160


def test_each_level_with_what_is_reserved_free_and_on_order(demo_catalogue) -> None:
    known = demo_catalogue.items[next(iter(demo_catalogue.items))]
    job_with(factories.part(known.code, quantity=Decimal(4)), paint("Signal red", "0.50"))
    StockLevel.objects.update_or_create(sku=known.code, defaults={"quantity": 3})
    reserve(skus=[known.code])
    place_order(supplier="northwheel", by=None)
    rows = {row.level.sku: row for row in stock_rows(list(StockLevel.objects.all()))}
    wheel, red = rows[known.code], rows["basecoat · Signal red"]
    assert (wheel.name, wheel.unit) == (known.name, known.unit)
    assert (wheel.reserved, wheel.free, wheel.on_order) == (3, 0, 1)
    assert red.name.endswith(", Signal red")
    assert (red.reserved, red.free, red.on_order) == (0, 0, 1)
    assert [level.sku for level in found_levels("signal BASE")] == ["basecoat · Signal red"]
    assert known.code in [level.sku for level in found_levels(known.name.split()[0])]
    assert found_levels("no such thing").count() == 0


def test_orders_by_state_and_for_whom() -> None:
    one, two = (job_with(factories.part("a"), factories.part("a", where="rear")) for _ in range(2))
    order = place_order(supplier="northwheel", by=None)
    assert [list(listed_orders(state)) for state in ("", "placed", "closed")] == [[order], [order], []]
    assert sorted((job.pk, quantity) for job, quantity in jobs_of(order.lines.get())) == [
        (one.pk, 8),
        (two.pk, 8),
    ]
    assert missing_parts(job=one) == ["4 × Wheel A 8 x 18"] * 2
