"""An accent is judged by WCAG 2.2's formula on the style sheet's own grounds."""

from __future__ import annotations

import re

import pytest
from django.conf import settings
from hypothesis import given
from hypothesis import strategies as st

from configurator.colour import contrast_ratio
from shop.opening.accent import DARK_GROUNDS, LIGHT_GROUNDS, in_both_lights, nearest, reads_well

COLOURS = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")
SHEET = settings.BASE_DIR / "configurator" / "static" / "configurator" / "kerb.css"


def test_the_grounds_are_those_of_the_style_sheet() -> None:
    pairs = dict(re.findall(r"--([a-z-]+): (light-dark\(#\w{6}, #\w{6}\))", SHEET.read_text()))
    grounds = [re.findall(r"#\w{6}", pairs[name]) for name in
               ("paper", "card", "well", "ok-tint", "warn-tint", "stop-tint", "info-tint")]  # fmt: skip
    assert [light for light, _ in grounds] == list(LIGHT_GROUNDS)
    assert [dark for _, dark in grounds] == list(DARK_GROUNDS)


@pytest.mark.long
@given(COLOURS)
def test_whatever_is_chosen_ends_readable_in_both_lights(colour: str) -> None:
    found = in_both_lights(colour)
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1
    for shade, on, grounds in (
        (found.light, found.on_light, LIGHT_GROUNDS),
        (found.dark, found.on_dark, DARK_GROUNDS),
    ):
        assert min(contrast_ratio(shade, ground) for ground in grounds) >= 4.5
        assert contrast_ratio(shade, on) >= 4.5


def test_a_colour_that_reads_well_stays_as_it_is() -> None:
    assert nearest("#0c5361") == "#0c5361"
    assert reads_well("#0c5361")
    assert not reads_well("#ffee00")
