"""What suppliers read of a piece is in their language; a shelf tells a colour once."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest
from django.utils import translation
from lxml import etree

from shop.models import PurchaseLine, PurchaseOrder, StockLevel
from shop.money.epc import EpcError, epc_payload
from shop.parts.csv_export import details, order_csv
from shop.parts.selectors import stock_rows
from shop.parts.ubl import order_ubl
from tests.shop import factories

pytestmark = pytest.mark.django_db
BOLT = {"kind": "bolt", "thread": "M14x1.5", "shank_mm": 42.0, "locking": True, "property_class": "10.9"}


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "kind bolt, thread M14x1.5, shank 42 mm, property class 10.9, locking"),
        ("de", "Art Schraube, Gewinde M14x1.5, Schaftlänge 42 mm, Festigkeitsklasse 10.9, Felgenschloss"),
    ],
)
def test_an_order_names_its_pieces_in_the_suppliers_language(language: str, said: str) -> None:
    factories.make_workshop()
    order = PurchaseOrder.objects.create(
        number="PO-1",
        supplier="s",
        supplier_name="S",
        currency="EUR",
        supplier_address={"language": language},
    )
    PurchaseLine.objects.create(
        order=order, position=1, item="bolt", sku="bolt", name="Bolt", unit="each", pack_size=1,
        quantity=20, unit_cost_net=1, amount_net=20, facts=BOLT,
    )  # fmt: skip
    with translation.override("de" if language == "en" else "en"):
        heading, row = csv.reader(io.StringIO(order_csv(order).decode("utf-8-sig")))
        described = etree.fromstring(order_ubl(order)).findtext(".//{*}Description")
    assert dict(zip(heading, row, strict=True))["details"] == described == said


def test_a_fact_added_later_is_told_by_its_name() -> None:
    assert details({"weight": 3.5}) == "weight 3.5"
    assert (
        details({"weight": 3.5, "colour": "red", "angle": "steep"}) == "angle steep, colour red, weight 3.5"
    )


def test_paint_that_the_catalogue_no_longer_knows_is_named_once() -> None:
    level = StockLevel.objects.create(sku="paint-x · night blue", quantity=2)
    assert [row.name for row in stock_rows([level])] == ["paint-x, night blue"]


def test_why_there_is_no_payment_code_is_told_in_the_readers_language() -> None:
    with translation.override("de"), pytest.raises(EpcError, match="nur für Euro, nicht für CHF"):
        epc_payload(name="Werkhof", iban="DE89370400440532013000", amount=Decimal(1), currency="CHF")
