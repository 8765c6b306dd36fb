"""What the demonstration catalogue says of paint, badges and cautions."""

from __future__ import annotations

from pathlib import Path

import pytest

from configurator.catalogue import selectors
from configurator.catalogue.models import Option
from tests.tables import read_table

DATA = Path(__file__).parent / "data"


def test_every_coat_keeps_to_the_directive(catalogue):
    # Directive 2004/42/EC Annex II B; wash primer and pre-cleaner are not used here.
    rows = read_table(DATA / "voc_limits.csv")
    limits: dict[str, float] = {}
    for row in rows:
        if row["coating"] not in ("wash primer", "pre-cleaner"):
            limits[row["subcategory"]] = float(row["limit_g_per_l"])
    coats = [coat for system in catalogue.paint_systems.values() for coat in system.layers.all()]
    assert len(coats) == 18
    for coat in coats:
        assert coat.voc_g_per_l <= limits[coat.voc_subcategory], coat


@pytest.mark.parametrize(
    ("system", "most_wait_h", "least_wait_h"), [("badge-wet", 1, 0), ("badge-build", 24, 4)]
)
def test_bare_chrome_is_primed_wet_on_wet_or_built_up_and_left_to_dry(
    catalogue, system, most_wait_h, least_wait_h
):
    # Common practice, no source.
    primer = catalogue.paint_systems[system].layers.all()[0]
    assert primer.stage == "prime"
    assert least_wait_h <= primer.wait_h <= most_wait_h


def test_calipers_are_painted_heat_resistant_and_badges_are_not(catalogue):
    # Common practice, no source.
    for option in catalogue.options.values():
        hot = option.paint_system and (option.paint_system.max_temperature_c or 0) > 300
        if "caliper-paint" in option.tags:
            assert option.paint_system.code == "caliper-heat"
        if "badge-paint" in option.tags:
            assert not hot
            used = {row.item.code for row in catalogue.recipes[option.recipe.code].materials.all()}
            assert {"tape-6", "adhesion-promoter", "degreaser", "disc-p320"} <= used


def test_every_accent_has_a_heat_resistant_version_of_its_colour(catalogue):
    for accent in selectors.accents(catalogue):
        heat = selectors.heat_version(catalogue, accent)
        assert heat is not None
        assert heat.hex == accent.hex
        assert selectors.heat_version(catalogue, heat) is heat
    assert len(selectors.accents(catalogue)) >= 6


def test_removed_badges_are_polished_and_bonded_panels_wait(catalogue):
    # Common practice, no source.
    for option in catalogue.options.values():
        if option.recipe is None:
            continue
        steps = catalogue.recipes[option.recipe.code].operations.all()
        if option.kind == Option.Kind.REMOVAL:
            assert any(step.stage == "polish" for step in steps), option
        if "bonded" in option.tags:
            assert any(step.stage == "bond" and step.wait_h > 0 for step in steps), option


def test_work_on_wheels_brakes_and_bonding_carries_its_caution(catalogue):
    for recipe in catalogue.recipes.values():
        for step in recipe.operations.all():
            if step.stage in ("wheels off", "wheels on", "bond") or "caliper" in recipe.code:
                exempt = step.paints or step.stage == "torque"
                assert step.caution or exempt, step
    for system in catalogue.paint_systems.values():
        assert system.caution


def test_anti_seize_is_for_wheels_and_spacers(catalogue):
    # Common practice, no source: mating faces only.
    using = {
        recipe.code
        for recipe in catalogue.recipes.values()
        for row in recipe.materials.all()
        if row.item.code == "anti-seize"
    }
    assert using == {"wheels", "spacers"}
