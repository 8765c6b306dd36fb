"""What a build shows: its facts too, and a spacer that leaves the wheel's dish alone."""

from __future__ import annotations

import pytest

from configurator.builds.looks import look_of
from configurator.builds.selection import Selection
from configurator.pictures import scene
from configurator.pictures.axles import dish_mm

from .builds import BLACK_18, SPACER_15, VAN_TYRE_18, axles, van


@pytest.mark.parametrize(
    ("generation", "fact", "shown"),
    [
        ("haldor-2", "sport-bumper", "bumper_sport"),
        ("ambry-1", "tow-bar-fitted", "tow_bar"),
        ("skarn-3", "running-boards-fitted", "side_bars"),
    ],
)
def test_a_fact_of_the_vehicle_is_drawn(demo_catalogue, generation, fact, shown):
    for options, there in (((), False), ((fact,), True)):
        body, look = look_of(Selection(generation=generation, options=options), demo_catalogue)
        assert bool(scene(body, look, "side").of(shown)) == there


def test_roof_rails_go_when_the_vehicle_has_none(demo_catalogue):
    for options, there in (((), True), (("no-roof-rails",), False)):
        body, look = look_of(Selection(generation="merle-2", options=options), demo_catalogue)
        assert bool(scene(body, look, "rear").of("roof_rails")) == there


def test_a_spacer_moves_the_wheel_and_leaves_its_dish(demo_catalogue):
    parts = {"wheel": BLACK_18, "tyre": VAN_TYRE_18}
    looks = [
        look_of(van(**axles(**parts, **spacer)), demo_catalogue)[1].front
        for spacer in ({}, {"spacer": SPACER_15})
    ]
    assert looks[0].effective_offset_mm - looks[1].effective_offset_mm == 15
    assert dish_mm(looks[0]) == dish_mm(looks[1])
    # Half of 8 inches, the flange's 12 mm, less the offset of 50 mm.
    assert dish_mm(looks[0]) == pytest.approx(101.6 + 12 - 50)


def test_lettering_that_is_taken_off_is_gone_from_every_side(demo_catalogue):
    body, look = look_of(Selection(generation="haldor-2", options=("lettering-remove",)), demo_catalogue)
    assert not [
        s for view in ("side", "rear") for s in scene(body, look, view).shapes if "lettering" in s.part
    ]
