"""An order of two lines to try papers and files on; every figure is invented."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from shop.models import PurchaseOrder

PLACE = {
    "name": "Gate 2",
    "street": "Am Anger 3",
    "postcode": "12346",
    "town": "Anderswo",
    "country": "DE",
}
SUPPLIER = {
    "email": "orders@northwheel.example",
    "street": "Kanal 5",
    "postcode": "4711",
    "town": "Elsewhere",
    "country": "DK",
    "legal_name": "Northwheel ApS",
    "endpoint": "0184:DK12345678",
    "language": "en",
}


def order(**changes: Any) -> PurchaseOrder:
    """Return an order of two lines, placed on the evening of 1 June in UTC, the 2nd in Berlin."""
    fields: dict[str, Any] = {
        "number": "PO-1",
        "supplier": "northwheel",
        "supplier_name": "Northwheel",
        "supplier_address": SUPPLIER,
        "customer_number": "K-1",
        "currency": "EUR",
        "total_net": Decimal("445.85"),
        "tax_rate_pct": Decimal(19),
        "deliver_to": PLACE,
        "note": "Ring at <gate> 2\x0b",
    }
    made = PurchaseOrder.objects.create(**(fields | changes))
    PurchaseOrder.objects.update(placed_at=datetime(2026, 6, 1, 22, 30, 5, 123456, tzinfo=UTC))
    made.lines.create(
        position=1,
        item="wheel-a",
        sku="wheel-a",
        name="Wheel A 8 x 18",
        supplier_ref="NW-8018",
        facts={"finish": "gloss black", "bore_mm": 66.6},
        unit="each",
        pack_size=1,
        quantity=4,
        unit_cost_net=Decimal("110.00"),
        amount_net=Decimal("440.00"),
        need_by=date(2026, 6, 10),
    )
    made.lines.create(
        position=2,
        item="grease",
        sku="grease",
        name="Grease",
        unit="g",
        pack_size=Decimal("60.000"),
        quantity=60,
        unit_cost_net=Decimal("0.0975"),
        amount_net=Decimal("5.85"),
    )
    return PurchaseOrder.objects.get()
