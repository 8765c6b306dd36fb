"""The main job on the demonstration catalogue: what a build brings along, costs and is refused for.

The catalogue fixture lives in memory only, so every test here also proves that evaluating makes no query.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation
from configurator.builds.selection import AxleSelection, Selection

from .builds import BLACK_18, SILVER_18, SPACER_15, VAN_TYRE_18, axles, harbour_van, van

NEW_WHEELS = {"wheel": BLACK_18, "tyre": VAN_TYRE_18}


def lines(evaluation, kind):
    return [line for line in evaluation.parts if line.kind == kind]


def total(found):
    return sum(line.quantity for line in found)


def test_spacers_bring_longer_bolts_on_the_original_wheels(catalogue):
    """A spacer brings bolts whose shank is longer by its thickness (common practice, no source)."""
    bolts = lines(evaluate(van(**axles(spacer=SPACER_15)), catalogue), "fastener")
    assert {line.facts.shank_mm for line in bolts} == {27.0 + 15.0}
    assert {line.facts.thread for line in bolts} == {"M14x1.5"}
    assert total(bolts) == 2 * 2 * 5
    assert all("spacer" in line.for_choices[0] for line in bolts)


def test_black_wheels_get_black_bolts_and_one_locking_bolt_each(catalogue):
    """Black bolts and black locking bolts, one per wheel (common practice, no source)."""
    bolts = lines(evaluate(van(**axles(**NEW_WHEELS, spacer=SPACER_15)), catalogue), "fastener")
    assert {line.facts.finish for line in bolts} == {"Gloss black"}
    assert {line.facts.shank_mm for line in bolts} == {42.0}
    assert total([line for line in bolts if line.facts.locking]) == 4
    assert total([line for line in bolts if not line.facts.locking]) == 16


def test_silver_wheels_get_silver_bolts_of_the_original_length(catalogue):
    parts = {"wheel": SILVER_18, "tyre": VAN_TYRE_18}
    bolts = lines(evaluate(van(**axles(**parts)), catalogue), "fastener")
    assert {line.facts.finish for line in bolts} == {"Silver"}
    assert {line.facts.shank_mm for line in bolts} == {27.0}


def test_pickup_on_studs_gets_nuts_and_no_shank(catalogue):
    wheel = "granvik-8x17-6x1397-et30-gloss-black"
    chosen = Selection(
        generation="skarn-3", options=("standard-bumper",), **axles(wheel=wheel, tyre="trail-265-65r17-112t")
    )
    nuts = lines(evaluate(chosen, catalogue), "fastener")
    assert {line.facts.kind for line in nuts} == {"nut"}
    assert total(nuts) == 2 * 2 * 6


def test_wider_bore_brings_centring_rings(catalogue):
    """A bore larger than the spigot needs a ring of that size (common practice, no source)."""
    wheel = "brisling-7x17-5x108-et45-graphite"
    chosen = Selection(generation="vireo-4", **axles(wheel=wheel, tyre="road-225-45r17-94w"))
    rings = lines(evaluate(chosen, catalogue), "ring")
    assert [(line.quantity, line.where) for line in rings] == [(2, "front axle"), (2, "rear axle")]
    assert "67.1" in rings[0].why
    assert "63.4" in rings[0].why


def test_calipers_get_heat_resistant_paint_and_badges_do_not(catalogue):
    """Same accent colour, different paint system (common practice, no source)."""
    paint = lines(evaluate(harbour_van(), catalogue), "paint")
    hot = [line for line in paint if line.facts.max_temperature_c]
    assert {choice for line in hot for choice in line.for_choices} == {"calipers-front", "calipers-rear"}
    badges = [line for line in paint if "badge-front" in line.for_choices]
    assert badges
    assert all(line not in hot for line in badges)
    assert {line.facts.hex for line in hot + badges if line.facts.hex} == {"#e8601c"}


def test_badges_get_promoter_and_tape(catalogue):
    """Degreaser, adhesion promoter, double-sided tape (common practice, no source)."""
    materials = lines(evaluate(van(accent="ember-orange", options=("badge-front",)), catalogue), "material")
    named = " ".join(line.name for line in materials if "badge-front" in line.for_choices).lower()
    for wanted in ("degreaser", "adhesion promoter", "double-sided", "p320"):
        assert wanted in named


def test_removed_badge_is_polished_out(catalogue):
    """Glue ghosting is polished out (common practice, no source)."""
    work = evaluate(van(options=("rear-badge-remove",)), catalogue).work
    assert "polish" in [step.stage for step in work.steps if "rear-badge-remove" in step.for_choices]


def test_bumper_comes_off_once_and_colour_is_mixed_once(catalogue):
    evaluation = evaluate(harbour_van(), catalogue)
    bumper = [step for step in evaluation.work.steps if step.key == "front-bumper-off"]
    assert len(bumper) == 1
    assert set(bumper[0].for_choices) >= {"haldor-grille", "haldor-splitter-l1"}
    blue = [line for line in lines(evaluation, "paint") if line.facts.finish == "Quay blue"]
    assert len(blue) == 1


def test_bonded_parts_wait_before_washing(catalogue):
    """Bonded parts wait for the adhesive before washing or driving (common practice, no source)."""
    steps = {step.key: step for step in evaluate(harbour_van(), catalogue).work.steps}
    wash = next(step for step in steps.values() if step.stage == "wash")
    before, pending = set(), list(wash.after)
    while pending:
        key = pending.pop()
        before.add(key)
        pending += steps[key].after
    bonded = {key for key, step in steps.items() if step.stage == "bond" and step.wait_h}
    assert bonded
    assert bonded <= before


def test_price_adds_up_to_the_cent(catalogue):
    price = evaluate(harbour_van(), catalogue).price
    assert sum(row.amount for row in price.lines) == price.total == price.parts + price.labour
    assert price.net + price.tax == price.total
    assert Decimal(0) < price.deposit <= price.total


def test_every_line_and_step_says_who_asked_for_it(catalogue):
    evaluation = evaluate(harbour_van(), catalogue)
    for row in (*evaluation.parts, *evaluation.work.steps):
        assert row.for_choices
        assert set(row.for_choices) <= set(evaluation.names)


def test_frozen_form_reads_back_the_same(catalogue):
    evaluation = evaluate(harbour_van(), catalogue)
    assert Evaluation.model_validate_json(evaluation.model_dump_json()) == evaluation


def test_nothing_chosen_is_no_job(catalogue):
    evaluation = evaluate(van(), catalogue)
    assert (evaluation.parts, evaluation.price, evaluation.sendable) == ((), None, False)


def _codes(known):
    return st.none() | st.sampled_from(sorted(known))


@pytest.mark.long
@settings(max_examples=60)
@given(data=st.data())
def test_any_selection_gets_an_answer(catalogue, data):
    axle = st.builds(
        AxleSelection,
        wheel=_codes(catalogue.wheels),
        tyre=_codes(catalogue.tyres),
        spacer=_codes(catalogue.spacers),
    )
    options = st.lists(st.sampled_from(sorted(catalogue.options)), max_size=8).map(tuple)
    selection = data.draw(
        st.builds(
            Selection,
            generation=st.sampled_from(sorted(catalogue.generations)),
            body_finish=_codes(catalogue.finishes),
            accent=_codes(catalogue.finishes),
            front=axle,
            rear=axle,
            options=options,
        )
    )
    evaluation = evaluate(selection, catalogue)
    assert evaluation.selection == selection
    if evaluation.price:
        assert sum(row.amount for row in evaluation.price.lines) == evaluation.price.total
    for line in evaluation.parts:
        assert line.quantity > 0
        assert line.for_choices


def test_every_axle_is_tightened_when_wheels_were_off_only_for_the_calipers(catalogue):
    """Wheels that come off for paint go on again to the figure of the vehicle's data, axle by axle."""
    steps = evaluate(van(accent="ember-orange", options=("calipers-front",)), catalogue).work.steps
    found = {step.axle: step.torque_nm for step in steps if step.stage == "torque"}
    known = {position: catalogue.axles[("haldor-2", position)].torque_nm for position in ("front", "rear")}
    assert found == known
    with_wheels = evaluate(
        van(accent="ember-orange", options=("calipers-front",), **axles(**NEW_WHEELS)), catalogue
    ).work.steps
    assert [step.axle for step in with_wheels if step.stage == "torque"] == ["front", "rear"]
