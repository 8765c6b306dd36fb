"""What differs between two revisions, told in plain words."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import translation

from configurator.builds.evaluation import AxleFit, ColourChoice
from configurator.builds.selection import Selection
from shop.tracking.changes import Difference, differences
from tests.shop import factories


@pytest.fixture(autouse=True)
def _english() -> Any:
    with translation.override("en-gb"):
        yield


def evaluation(options: tuple[str, ...], accent: str, **changes: Any) -> Any:
    """Return an evaluation with these options in this accent colour."""
    names = {"badge": f"Badge in {accent}", "grille": "Grille", "front-wheel:w1": "Wheel One"}
    names["front-wheel:w2"] = "Wheel Two"
    wheel = changes.pop("wheel", "w1")
    return factories.evaluation(
        selection=Selection(generation="haldor-2", options=options, front={"wheel": wheel}),
        names=names,
        accent=ColourChoice(finish=accent.lower(), name=accent, hex="#123456"),
        **changes,
    )


def test_the_same_twice_differs_in_nothing() -> None:
    one = evaluation(("badge",), "Orange")
    assert differences(one, one) == []


def test_each_kind_of_difference_is_one_row() -> None:
    before = evaluation(("badge", "grille"), "Orange", price=factories.price("1190.00", "300.00"))
    fit = AxleFit(position="front", verdict="fits", headline="Sits flush.", checks=(), needs=(), derived={})
    after = evaluation(
        ("badge",), "Red", wheel="w2", price=factories.price("990.00", "300.00"), fits={"front": fit}
    )
    assert differences(before, after) == [
        Difference("Accent colour", "Orange", "Red"),
        Difference("Front wheels", "Wheel One", "Wheel Two"),
        Difference("Changed", "Badge in Orange", "Badge in Red"),
        Difference("Taken out", "Grille", ""),
        Difference("Price, tax included", "€1,190.00", "€990.00"),
        Difference("Fit, front axle", "Fits", "Sits flush."),
    ]


def test_turning_the_two_around_turns_the_rows_around() -> None:
    before, after = evaluation(("badge",), "Orange"), evaluation(("badge", "grille"), "Orange")
    assert differences(before, after) == [Difference("Put in", "", "Grille")]
    assert differences(after, before) == [Difference("Taken out", "Grille", "")]
