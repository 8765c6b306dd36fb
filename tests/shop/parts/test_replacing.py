"""A part had from another supplier, and another part that stands in: what becomes of lines and jobs."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.contrib.auth.models import User

from configurator.models import Item, OutboxEntry, Supplier
from shop.models import PurchaseLine, Replacement, StockLevel
from shop.parts.replacing import Instead, ReplaceError, replace
from shop.parts.service import count, issue, make_parts_list, place_order
from tests.shop import factories
from tests.shop.factories import job_with

pytestmark = pytest.mark.django_db
GREASE = {"item": "grease", "name": "Grease", "unit": "g", "kind": "paint", "quantity": Decimal(60)}


@pytest.fixture
def buyer() -> User:
    return factories.staff("buyer", name="kim")


def paint(colour: str = "Signal red") -> object:
    return factories.part(**GREASE, facts={"finish": colour}, supplier_ref="G-1", pack_size=Decimal(30))


@pytest.fixture
def radhaus() -> Supplier:
    return Supplier.objects.create(code="radhaus", name="Radhaus")


def instead(**changes: object) -> Instead:
    plain = {"supplier": "radhaus", "unit_cost_net": Decimal("0.2"), "lead_time_days": 3}
    return Instead(**{**plain, **changes})  # type: ignore[arg-type]


def other_grease(radhaus: Supplier) -> Item:
    return Item.objects.create(
        code="grease-b", name="Other grease", unit="g", supplier=radhaus, supplier_ref="R-7",
        unit_cost=1, unit_price=2, pack_size=20, returnable=False,
    )  # fmt: skip


def test_another_paint_keeps_its_colour_and_all_that_lack_it_get_it(radhaus: Supplier, buyer: User) -> None:
    other_grease(radhaus)
    one, two = job_with(paint()), job_with(paint())
    done = job_with(paint("Signal blue"))
    line = place_order(supplier="northwheel", by=None).lines.get(sku="grease · Signal red")
    StockLevel.objects.create(sku="grease-b · Signal red", quantity=70)
    made = replace(line_id=line.pk, instead=instead(item="grease-b"), why=" Gone. ", by=buyer, press="k")
    again = replace(line_id=line.pk, instead=instead(), why="", by=buyer, press="k")
    assert (again, Replacement.objects.count()) == (made, 1)
    assert (made.instead_of, made.sku, made.item) == (
        "grease · Signal red",
        "grease-b · Signal red",
        "grease-b",
    )
    for job in (one, two):
        part = job.parts.get()
        assert (part.item, part.sku, part.name) == ("grease-b", "grease-b · Signal red", "Other grease")
        assert (part.supplier, part.supplier_name, part.supplier_ref) == ("radhaus", "Radhaus", "R-7")
        assert (part.unit_cost_net, part.pack_size, part.lead_time_days) == (Decimal("0.2"), 20, 3)
        assert (part.returnable, part.amount) == (False, 800)
        entry = job.history.get(action="parts.replaced")
        assert (entry.who, entry.why) == ("kim", "Gone.")
        assert entry.data == {"before": "Grease, Northwheel", "after": "Other grease, Radhaus"}
    assert done.parts.get().item == "grease"
    assert set(made.parts.all()) == {one.parts.get(), two.parts.get()}
    # The shelf's is theirs at once, the first of them first; the line that brings no more is ended.
    assert one.parts.get().reservation.quantity == 60
    assert two.parts.get().reservation.quantity == 10
    line.refresh_from_db()
    assert (line.open, line.not_coming) == (0, "Gone.")
    keys = OutboxEntry.objects.filter(key__endswith=f":replaced-{made.pk}")
    assert {row.payload["job_id"] for row in keys} == {one.pk, two.pk}


def test_the_same_part_from_elsewhere_keeps_what_is_not_said(radhaus: Supplier, buyer: User) -> None:
    job = job_with(paint())
    line = place_order(supplier="northwheel", by=None).lines.get()
    made = replace(
        line_id=line.pk,
        instead=instead(item="grease", supplier_ref="R-1"),
        why="x" * 250,
        by=buyer,
        press="k",
    )
    part = job.parts.get()
    assert (part.item, part.sku, part.name) == ("grease", "grease · Signal red", "Grease")
    assert (part.supplier_ref, part.pack_size, part.returnable) == ("R-1", 30, True)
    assert made.why == "x" * 200


@pytest.mark.parametrize(
    ("part", "item", "field", "said"),
    [
        ({}, "grease-b", "item", "counted in the same unit"),
        ({**GREASE, "kind": "wheel"}, "grease-b", "item", "changes the build"),
        (GREASE, "unheard-of", "item", "counted in the same unit"),
    ],
)
def test_what_cannot_stand_in_is_refused(
    radhaus: Supplier, buyer: User, part: dict[str, object], item: str, field: str, said: str
) -> None:
    other_grease(radhaus)
    job_with(factories.part(**part))
    line = place_order(supplier="northwheel", by=None).lines.get()
    with pytest.raises(ReplaceError, match=said) as refusal:
        replace(line_id=line.pk, instead=instead(item=item), why="Gone.", by=buyer, press="k")
    assert refusal.value.field == field
    assert line.open == PurchaseLine.objects.get().open


def test_another_part_does_not_join_what_is_here_already(radhaus: Supplier, buyer: User) -> None:
    other_grease(radhaus)
    job = job_with(paint())
    line = place_order(supplier="northwheel", by=None).lines.get()
    count(sku="grease · Signal red", quantity=Decimal(10))
    with pytest.raises(ReplaceError, match=f"here already for {job.number}") as refusal:
        replace(line_id=line.pk, instead=instead(item="grease-b"), why="Gone.", by=buyer, press="k")
    assert refusal.value.field == "item"
    issue(job=job)
    with pytest.raises(ReplaceError, match="here already"):
        replace(line_id=line.pk, instead=instead(item="grease-b"), why="Gone.", by=buyer, press="k")
    # The same part from elsewhere may.
    assert replace(line_id=line.pk, instead=instead(), why="Gone.", by=buyer, press="k").sku == line.sku
    job.parts.update(issued=60)
    with pytest.raises(ReplaceError, match="No job lacks this part any more") as refusal:
        replace(line_id=line.pk, instead=instead(), why="Gone.", by=buyer, press="other")
    assert refusal.value.field == ""


def test_what_stands_in_stays_through_later_changes_of_the_build(radhaus: Supplier, buyer: User) -> None:
    other_grease(radhaus)
    job = job_with(paint(), factories.part())
    line = place_order(supplier="northwheel", by=None).lines.get(item="grease")
    replace(line_id=line.pk, instead=instead(item="grease-b"), why="Gone.", by=buyer, press="k")
    make_parts_list(job=job, evaluation=factories.evaluation(parts=(paint(), factories.part(name="New"))))
    assert list(job.parts.order_by("position").values_list("item", "supplier", "name")) == [
        ("grease-b", "radhaus", "Other grease"),
        ("wheel-a", "northwheel", "New"),
    ]
    # Replaced once more, the last word counts.
    again = place_order(supplier="radhaus", by=None).lines.get()
    Supplier.objects.create(code="third", name="Third")
    replace(line_id=again.pk, instead=instead(supplier="third"), why="Gone too.", by=buyer, press="l")
    make_parts_list(job=job, evaluation=factories.evaluation(parts=(paint(),)))
    part = job.parts.get(dropped=False)
    assert (part.item, part.supplier, part.supplier_name) == ("grease-b", "third", "Third")
