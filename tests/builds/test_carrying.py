"""Choices carried over to another vehicle: what goes along fits there, and what does not is said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.builds import offers
from configurator.builds.carrying import RANK, carry
from configurator.builds.evaluate import evaluate
from configurator.builds.selection import POSITIONS, AxleSelection, Selection
from configurator.catalogue import selectors
from configurator.catalogue.models import Option
from configurator.catalogue.snapshot import Catalogue

from .builds import harbour_van, van


def test_the_same_vehicle_takes_everything_but_its_facts(catalogue: Catalogue) -> None:
    before = harbour_van()
    after = carry(before, before.generation, catalogue)

    facts = {code for code in before.options if catalogue.options[code].kind == Option.Kind.FACT}
    assert after.told == ()
    assert set(after.selection.options) == set(before.options) - facts
    assert after.selection.front == before.front
    assert after.selection.finishes == {k: v for k, v in before.finishes.items() if k not in facts}
    assert after.selection.body_finish == before.body_finish


def test_another_vehicle_gets_what_fits_and_hears_of_the_rest(catalogue: Catalogue) -> None:
    after = carry(harbour_van(), "skarn-3", catalogue)

    selection = after.selection
    assert selection.body_finish is None
    assert selection.accent == harbour_van().accent
    offered = {option.code for option in selectors.options_for(catalogue, catalogue.generations["skarn-3"])}
    assert selection.options
    assert set(selection.options) <= offered
    assert any("Torvik" in one for one in after.told)
    assert any("was left out" in one for one in after.told)


def test_no_wheel_of_a_car_goes_on_a_motorcycle(catalogue: Catalogue) -> None:
    after = carry(harbour_van(), "whinchat-680", catalogue)

    assert (after.selection.front, after.selection.rear) == (AxleSelection(), AxleSelection())
    assert after.told


def test_an_unknown_vehicle_is_an_error_and_unknown_choices_are_told_or_dropped(catalogue: Catalogue) -> None:
    with pytest.raises(KeyError):
        carry(van(), "no-such", catalogue)
    gone = Selection(generation="haldor-2", front=AxleSelection(wheel="gone"), options=("gone-too",))
    after = carry(gone, "haldor-2", catalogue)
    assert after.selection == Selection(generation="haldor-2")
    assert after.told == ("gone does not go with this vehicle and was left out.",)


@st.composite
def a_selection(draw: st.DrawFn, catalogue: Catalogue) -> Selection:
    generation = draw(st.sampled_from(sorted(catalogue.generations)))
    row = catalogue.generations[generation]
    options = [option.code for option in selectors.options_for(catalogue, row)]
    axles = {}
    for position in POSITIONS:
        axle = catalogue.axles[(generation, position)]
        wheels = [None, *(wheel.code for wheel in selectors.wheels_for(catalogue, axle))]
        spacers = [None, *(spacer.code for spacer in selectors.spacers_for(catalogue, axle))]
        wheel = draw(st.sampled_from(wheels))
        tyres = [None, *offers.tyre_offers(axle, wheel, None, catalogue)]
        axles[position] = AxleSelection(
            wheel=wheel, tyre=draw(st.sampled_from(tyres)), spacer=draw(st.sampled_from(spacers))
        )
    chosen = draw(st.lists(st.sampled_from(options), max_size=8))
    return Selection(generation=generation, options=tuple(chosen), accent="ember-orange", **axles)


@pytest.mark.long
@given(st.data())
def test_nothing_carried_breaks_the_fit_and_nothing_goes_unsaid(
    catalogue: Catalogue, data: st.DataObject
) -> None:
    before = data.draw(a_selection(catalogue))
    target = data.draw(st.sampled_from(sorted(catalogue.generations)))

    after = carry(before, target, catalogue)

    evaluation = evaluate(after.selection, catalogue)
    assert evaluation.selection == after.selection
    for position in POSITIONS:
        had, has = before.axle(position), after.selection.axle(position)
        axle = catalogue.axles[(target, position)]
        if has.wheel:
            assert offers.wheel_offers(axle, None, catalogue)[has.wheel].verdict in RANK
        if had.wheel and has.wheel != had.wheel:
            assert any(str(catalogue.wheels[had.wheel]) in one for one in after.told)
        if had.spacer and has.spacer != had.spacer:
            assert any(str(catalogue.spacers[had.spacer]) in one for one in after.told)
    wished = [c for c in before.options if catalogue.options[c].kind != Option.Kind.FACT]
    lost = [c for c in wished if c not in after.selection.options]
    for code in lost:
        name = catalogue.options[code].name
        same = any(catalogue.options[other].name == name for other in after.selection.options)
        assert same or any(name in one for one in after.told)


def test_a_removal_is_never_another_things_removal(catalogue: Catalogue) -> None:
    assert "mudflaps-remove" not in {
        one.code for one in selectors.options_for(catalogue, catalogue.generations["ambry-1"])
    }
    before = Selection(generation="skarn-3", options=("mudflaps-remove", "skarn-grille"))
    after = carry(before, "ambry-1", catalogue)
    assert after.selection.options == ("ambry-grille",)
    assert any("Mudflaps" in one and "left out" in one for one in after.told)
