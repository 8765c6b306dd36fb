"""Differences between revisions are told by the choice, not by what the choice is called."""

from __future__ import annotations

from decimal import Decimal

from django.utils import translation

from configurator.builds.evaluation import Price, PriceLine
from configurator.builds.selection import Selection
from shop.jobs.difference import differences
from tests.shop import factories


def painted(colour: str, amount: str = "100.00", options: tuple[str, ...] = ("badge",)):
    """An evaluation with one painted badge."""
    line = PriceLine(
        choice="badge",
        label=f"Badge in {colour}",
        parts=Decimal(0),
        labour=Decimal(amount),
        amount=Decimal(amount),
    )
    base = factories.evaluation()
    price = Price.model_validate(base.price.model_dump() | {"lines": (line,)})
    selection = Selection.model_validate(base.selection.model_dump() | {"options": options})
    names = base.names | {"badge": f"Badge in {colour}"}
    return base.model_copy(update={"price": price, "selection": selection, "names": names})


def told(before, after):
    return [(row.area, row.what, row.before, row.after) for row in differences(before, after)]


def test_another_colour_of_the_same_option_is_one_row() -> None:
    rows = told(painted("orange"), painted("teal"))
    assert rows == [("Choices", "Badge", "Badge in orange", "Badge in teal")]


def test_an_option_that_is_new_or_gone_is_said_so() -> None:
    none = painted("orange", options=())
    assert ("Choices", "Badge in orange", "", "yes") in told(none, painted("orange"))
    assert ("Choices", "Badge in orange", "yes", "") in told(painted("orange"), none)


def test_a_changed_price_of_the_same_choice_is_one_row_under_its_new_name() -> None:
    rows = told(painted("orange"), painted("teal", "120.00"))
    assert ("Price", "Badge in teal", "€100.00", "€120.00") in rows


def test_rows_are_in_the_readers_language_whoever_froze_the_build() -> None:
    before, after = painted("orange", options=()), painted("teal", "120.00")
    fit = before.fits["front"].model_copy(update={"verdict": "no"})
    before = before.model_copy(update={"fits": {**before.fits, "front": fit}})
    with translation.override("de"):
        rows = told(before, after)

    assert ("Auswahl", "Badge in teal", "", "ja") in rows
    assert ("Preis", "Badge in teal", "100,00\xa0€", "120,00\xa0€") in rows
    assert ("Passung", "Vorderachse", "passt nicht", "passt") in rows
