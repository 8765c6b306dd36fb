"""Price lists: read as suppliers write them, reckoned, looked at, put live whole or not at all."""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

import openpyxl
import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from configurator.catalogue import history, models, snapshot
from configurator.catalogue.snapshot import Catalogue
from shop.range import list_applying, list_reading
from shop.range.list_cells import ListError, heading_and_rows
from shop.range.list_reckoning import Reckoning, decimal_mark, number, own_price, reckon
from shop.range.models import PriceLayout, PriceLine, PriceList
from tests.shop import factories

from .conftest import HEADING

State = PriceList.State
TYRES = {
    "HA20565R16C": ("Skelwith Haul", "105,00", "A", "1", "ST"),  # a tyre there is, cheaper by the group
    "HA22555R17C": ("Skelwith Haul 17", "n/a", "A", "1", "ST"),  # no price
    "NEW1": ("Skelwith New", "5.000,00", "B", "100", "Stk"),  # new; the price is for a hundred
    "NEW2": ("Skelwith Odd", "10,00", "B", "1", "Paar"),  # a unit nobody knows
}


def as_csv(rows: dict[str, tuple[str, ...]] = TYRES) -> bytes:
    lines = ["Preisliste 2026;;;;;", ";".join(HEADING), *(";".join((ref, *row)) for ref, row in rows.items())]
    return "\r\n".join(lines).encode("cp1252")


def as_workbook(rows: dict[str, tuple[str, ...]] = TYRES) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Preisliste 2026"])
    sheet.append(HEADING)
    for ref, row in rows.items():
        price = number(row[1], ",")
        sheet.append(
            [ref, row[0], float(price) if price is not None else row[1], row[2], int(row[3]), row[4]]
        )
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def handed_in(data: bytes) -> PriceList:
    """Hand a list in and have it read, as the worker does."""
    found = PriceList.objects.create(supplier="nordholt", name="tyres", data=data)
    list_reading.ask_to_read(found.pk)
    list_reading.read_list({"list": found.pk})
    found.refresh_from_db()
    return found


def put_live(found: PriceList, by: Any = None) -> None:
    assert list_applying.confirm(list_id=found.pk, by=by)
    list_applying.put_list_live({"list": found.pk})
    found.refresh_from_db()


@pytest.mark.parametrize("data", [as_csv(), as_workbook()], ids=["csv", "workbook"])
def test_every_row_is_told_before_anything_is_live(layout: PriceLayout, data: bytes) -> None:
    found = handed_in(data)
    told = {
        line.ref: (line.verdict, line.cost_after, line.price_after, line.why) for line in found.lines.all()
    }
    # 105 less 20 per cent; 60 per cent on it and 19 per cent of tax is 159.936, to ten cents.
    assert told["HA20565R16C"] == ("changed", Decimal("84"), Decimal("159.90"), "")
    assert told["HA22555R17C"][0::3] == ("bad", "no_cost")
    assert told["NEW1"] == ("new", Decimal("50"), Decimal("95.20"), "")
    assert told["NEW2"][0::3] == ("bad", "unit")
    assert (
        found.lines.filter(verdict="gone").count()
        == models.Tyre.objects.filter(item__supplier__code="nordholt").count() - 2
    )
    assert found.state == State.READY
    assert not history.releases().filter(origin="list").exists()
    assert models.Item.objects.get(supplier_ref="HA20565R16C").unit_price == Decimal("134.40")


@pytest.mark.long
def test_confirmed_it_is_one_version_with_its_history(layout: PriceLayout) -> None:
    anke = factories.staff("manager", name="anke")
    found = handed_in(as_csv())
    put_live(found, anke)
    assert found.state == State.LIVE
    assert found.release is not None
    assert found.release.by == anke
    item = models.Item.objects.get(supplier_ref="HA20565R16C")
    assert (item.unit_cost, item.unit_price) == (Decimal("84"), Decimal("159.90"))
    change = history.of_row("tyres", item.code)[0]
    assert change.after == {"unit_price": "159.9"}
    new = models.Item.objects.get(supplier_ref="NEW1")
    assert (new.code, new.unit, new.unit_cost) == ("nordholt-new1", "each", 50)
    offered = snapshot.current().tyres.values()
    own = {one.code for one in offered if one.item.supplier.code == "nordholt"}
    assert own == {item.code, "haul-225-55r17c-109-107t"}  # the rest is retired


@pytest.mark.long
def test_run_twice_it_changes_nothing(layout: PriceLayout) -> None:
    put_live(handed_in(as_csv()))
    version = snapshot.current().version
    first = PriceList.objects.get()
    list_applying.put_list_live({"list": first.pk})
    assert not list_applying.confirm(list_id=first.pk, by=None)
    again = handed_in(as_csv())
    assert {line.verdict for line in again.lines.all()} == {"same", "bad"}
    put_live(again)
    assert again.release is None
    assert snapshot.current().version == version


def test_killed_while_reading_it_begins_again(layout: PriceLayout) -> None:
    found = PriceList.objects.create(supplier="nordholt", name="tyres", data=as_csv())
    list_reading.ask_to_read(found.pk)
    PriceLine.objects.create(list=found, number=2, verdict="changed", ref="half")
    PriceList.objects.filter(pk=found.pk).update(rows_read=1)
    list_reading.read_list({"list": found.pk})
    assert not found.lines.filter(ref="half").exists()
    count = found.lines.count()
    list_reading.read_list({"list": found.pk})  # handed over twice
    assert found.lines.count() == count


@pytest.mark.django_db(transaction=True)
def test_killed_while_it_goes_live_the_old_catalogue_stands(layout: PriceLayout, settings: Any) -> None:
    found = handed_in(as_csv())
    models.Supplier.objects.filter(code="nordholt").update(code="renamed")  # what comes second must fail
    version = snapshot.live_version()
    with pytest.raises(models.Supplier.DoesNotExist), transaction.atomic():
        put_live(found)
    assert models.Item.objects.get(supplier_ref="HA20565R16C").unit_price == Decimal("134.40")
    assert snapshot.live_version() == version
    found.refresh_from_db()
    assert found.state == State.READY


def test_what_others_changed_since_the_preview_is_left(layout: PriceLayout) -> None:
    found = handed_in(as_csv())
    models.Item.objects.filter(supplier_ref="HA20565R16C").update(unit_price=140)
    put_live(found)
    assert models.Item.objects.get(supplier_ref="HA20565R16C").unit_price == 140
    assert found.left == 1
    assert found.lines.get(ref="HA20565R16C").why == "meanwhile"


def test_a_column_that_went_is_asked_for_again(layout: PriceLayout) -> None:
    found = handed_in(as_csv().replace(b"Listenpreis", b"Preis neu"))
    assert found.state == State.FAILED
    assert (found.problem, found.figure) == ("gone", "Listenpreis")


@pytest.mark.long
def test_on_the_pages_from_handing_in_to_live(
    demo_catalogue: Catalogue, django_capture_on_commit_callbacks: Any
) -> None:
    client = Client()
    client.force_login(factories.staff("buyer", name="petra"))
    file = io.BytesIO(as_workbook())
    file.name = "tyres.xlsx"
    answer = client.post(reverse("shop:range_lists"), {"supplier": "nordholt", "file": file})
    form = client.get(answer["Location"]).context["form"]
    sent = {field.html_name: field.value() for field in form if shown(field.value())}
    assert sent["column-ref"] == "Artikelnummer"
    wrong = client.post(answer["Location"], {**sent, "markups": "* x 60", "rate": "0"})
    assert wrong.status_code == 422
    assert set(wrong.context["form"].errors) == {"markups", "rate"}
    sent |= {"markups": "* 0 60", "groups": "A 20\nB 0", "step": "0.10"}
    with django_capture_on_commit_callbacks(execute=True):
        read = client.post(answer["Location"], sent)
    page = client.get(read["Location"])
    assert page.context["changes"] == 1
    with django_capture_on_commit_callbacks(execute=True):
        client.post(reverse("shop:range_confirm", args=[page.context["list"].pk]))
    assert models.Item.objects.get(supplier_ref="HA20565R16C").unit_price == Decimal("159.90")
    file.seek(0)
    second = client.post(reverse("shop:range_lists"), {"supplier": "nordholt", "file": file})
    assert client.get(second["Location"]).context["form"]["groups"].value() == "a 20\nb 0"


def shown(value: object) -> bool:
    """Whether a browser would send it."""
    return value is not None and value is not False


def test_what_is_no_list_is_said(demo_catalogue: Catalogue) -> None:
    for data in (b"", b"PK\x03\x04 no", b"one word", b"a;b\n\x00;1"):
        with pytest.raises(ListError):
            list(heading_and_rows(data)[1])


@pytest.mark.parametrize(
    ("told", "mark", "value"),
    [("1.234,50", ",", "1234.50"), ("1,234.50", ".", "1234.50"), ("€ 12.5", ".", "12.5"), ("12", ",", "12")],
)
def test_figures_are_read_as_lists_write_them(told: str, mark: str, value: str) -> None:
    assert number(told, mark) == Decimal(value)


def test_the_column_tells_its_decimal_mark() -> None:
    assert decimal_mark(["1.234", "5.678,90"]) == ","
    assert decimal_mark(["1,234", "12.5"]) == "."
    assert decimal_mark(["1.234"]) == "."


def test_discount_currency_and_tax_come_off_in_this_order() -> None:
    how = Reckoning(
        columns={"ref": 0, "cost": 1, "group": 2},
        currency="CHF",
        rate=Decimal("1.05"),
        tax_included_pct=Decimal("8.1"),
        groups={"a": Decimal(25)},
    )
    # 108.10 with 8.1 per cent of tax is 100.00; a quarter off is 75.00; at 1.05 it is 78.75.
    assert reckon(["X", "108.10", "A"], how).cost == Decimal("78.7500")
    assert reckon(["X", "108.10", "C"], how).why == "group"


def test_the_margin_of_the_own_group_and_the_highest_cost_reached_counts() -> None:
    rules = [("*", Decimal(0), Decimal(100)), ("*", Decimal(50), Decimal(50)), ("a", Decimal(0), Decimal(10))]
    how = Reckoning(columns={}, currency="EUR", markups=rules, tax_pct=Decimal(0))
    assert own_price(Decimal(10), "", None, how) == 20
    assert own_price(Decimal(100), "", None, how) == 150
    assert own_price(Decimal(100), "a", None, how) == Decimal("110.00")
    assert own_price(Decimal(9), "", Decimal("12.34"), Reckoning({}, "EUR", ending="0.90")) == Decimal(
        "12.90"
    )
