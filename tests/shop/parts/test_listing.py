"""The parts list is the agreed evaluation's, line by line, and follows amendments without losing anything."""

from __future__ import annotations

from decimal import Decimal

import pytest

from shop.models import JobPart, Reservation, StockLevel
from shop.parts.service import make_parts_list, missing_parts, reserve
from tests.shop import factories

pytestmark = pytest.mark.django_db


def test_every_fact_of_a_line_is_frozen_on_the_job() -> None:
    line = factories.part(
        "bolt-42", kind="fastener", quantity=Decimal(16), facts={"shank_mm": 42.0, "seat": "cone60"}
    )
    job = factories.job(factories.evaluation(parts=(line,)))

    row = job.parts.get()

    told = line.model_dump() | {"for_choices": list(line.for_choices), "for_names": list(line.for_names)}
    assert {name: getattr(row, name) for name in told} == told


def test_the_same_evaluation_again_changes_nothing() -> None:
    found = factories.evaluation()
    job = factories.job(found)
    before = list(job.parts.values())

    make_parts_list(job=job, evaluation=found)

    assert list(job.parts.values()) == before


def test_two_lines_of_one_item_in_one_place_stay_two() -> None:
    job = factories.job(factories.evaluation(parts=(factories.part(), factories.part())))

    assert job.parts.count() == 2


def test_an_amendment_keeps_drops_and_adds() -> None:
    kept, gone = factories.part("kept"), factories.part("gone")
    job = factories.job(factories.evaluation(parts=(kept, gone)))
    first = job.parts.get(item="kept")

    new = factories.evaluation(parts=(factories.part("new"), factories.part("kept", quantity=Decimal(2))))
    make_parts_list(job=job, evaluation=new)

    lines = {part.item: (part.pk == first.pk, part.quantity, part.dropped) for part in job.parts.all()}
    assert lines == {
        "kept": (True, Decimal(2), False),
        "gone": (False, Decimal(4), True),
        "new": (False, Decimal(4), False),
    }


def test_an_amendment_gives_surplus_reservations_free() -> None:
    found = factories.evaluation(parts=(factories.part("a"), factories.part("b")))
    job = factories.job(found, state="deposit_in")
    StockLevel.objects.create(sku="a", quantity=10)
    StockLevel.objects.create(sku="b", quantity=10)
    reserve(skus=["a", "b"])
    assert missing_parts(job=job) == []

    make_parts_list(
        job=job, evaluation=factories.evaluation(parts=(factories.part("a", quantity=Decimal(1)),))
    )

    assert list(Reservation.objects.values_list("sku", "quantity")) == [("a", Decimal(1))]
    assert JobPart.objects.get(item="b").dropped


def test_what_is_missing_is_told_in_words() -> None:
    job = factories.job(
        factories.evaluation(
            parts=(
                factories.part(),
                factories.part("tape", name="Tape 6 mm", unit="m", quantity=Decimal("3.50")),
            )
        )
    )

    assert missing_parts(job=job) == ["4 × Wheel A 8 x 18", "3.5 m Tape 6 mm"]
