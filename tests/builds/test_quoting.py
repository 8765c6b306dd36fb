"""The price before ticking is the price after ticking."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.builds import changing, quoting
from configurator.builds.evaluate import evaluate
from configurator.builds.suggest import follow_wheels
from configurator.catalogue import selectors

from .builds import BLACK_18, SPACER_15, VAN_TYRE_18, axles, harbour_van, van


def amount(selection, catalogue) -> Decimal:
    price = evaluate(selection, catalogue).price
    return price.total if price else Decimal(0)


@pytest.fixture(scope="module")
def offered(catalogue):
    options = selectors.options_for(catalogue, catalogue.generations["haldor-2"])
    return [option.code for option in options if option.kind != "fact"]


@pytest.mark.long
@settings(max_examples=15)
@given(data=st.data())
def test_a_difference_is_that_of_two_evaluations(catalogue, offered, data):
    chosen = tuple(data.draw(st.lists(st.sampled_from(offered), max_size=6, unique=True)))
    parts = data.draw(st.sampled_from([{}, axles(wheel=BLACK_18, tyre=VAN_TYRE_18, spacer=SPACER_15)]))
    selection = van(options=chosen, accent="ember-orange", **parts)
    token = data.draw(st.sampled_from([*offered, f"front-wheel:{BLACK_18}", "front-wheel:original"]))
    edit = changing.Edit(drop=(token,)) if token in chosen else changing.Edit(add=(token,))
    other, _told = follow_wheels(changing.apply(selection, edit, catalogue), catalogue)
    found = quoting.differences(selection, {"it": other}, catalogue)["it"]
    assert found == amount(other, catalogue) - amount(selection, catalogue)


def test_the_total_is_the_evaluations_own(catalogue):
    assert quoting.total(harbour_van(), catalogue) == amount(harbour_van(), catalogue) > 0


def test_taking_something_away_makes_it_cheaper(catalogue):
    chosen = harbour_van()
    others = {code: changing.apply(chosen, changing.Edit(drop=(code,)), catalogue) for code in chosen.options}
    found = quoting.differences(chosen, others, catalogue)
    assert min(found.values()) < 0


def test_shared_work_counts_once(catalogue):
    """The second pair of calipers finds the wheels off and the booth warm."""
    one = van(accent="ember-orange", options=("calipers-front",))
    first = quoting.differences(van(accent="ember-orange"), {"front": one}, catalogue)["front"]
    both = changing.apply(one, changing.Edit(add=("calipers-rear",)), catalogue)
    second = quoting.differences(one, {"rear": both}, catalogue)["rear"]
    assert Decimal(0) < second < first


def test_a_colour_still_to_be_said_does_not_make_it_look_cheaper(catalogue):
    undecided = quoting.differences(van(), {"c": van(options=("calipers-front",))}, catalogue)["c"]
    decided = quoting.differences(
        van(accent="ember-orange"), {"c": van(accent="ember-orange", options=("calipers-front",))}, catalogue
    )["c"]
    assert undecided == decided
