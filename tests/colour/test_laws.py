"""Laws that hold for every colour."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator import colour

hexes = st.integers(0, 0xFFFFFF).map("#{:06x}".format)
labs = st.tuples(st.floats(0, 100), st.floats(-110, 110), st.floats(-110, 110))


@given(labs, labs)
def test_difference_is_symmetric_and_never_negative(first, second):
    forth, back = colour.delta_e_2000(first, second), colour.delta_e_2000(second, first)
    assert forth >= 0
    assert forth == pytest.approx(back, abs=1e-9)


@given(labs)
def test_nothing_differs_from_itself(lab):
    assert colour.delta_e_2000(lab, lab) == 0


@pytest.mark.long
@given(st.lists(st.tuples(labs, labs), min_size=1, max_size=8))
def test_arrays_and_single_colours_agree(pairs):
    first, second = np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs])
    single = [colour.delta_e_2000(a, b) for a, b in pairs]
    assert colour.delta_e_2000(first, second) == pytest.approx(single, abs=1e-12)


@given(hexes)
def test_hex_survives_the_way_through_lab(value):
    assert colour.lab_to_hex(colour.hex_to_lab(value)) == value
    assert colour.rgb_to_hex(colour.hex_to_rgb(value)) == value


@given(hexes, st.floats(-60, 60))
@settings(max_examples=60)
def test_a_shift_of_lightness_keeps_to_srgb_and_goes_the_right_way(value, by):
    before, after = colour.hex_to_lab(value)[0], colour.hex_to_lab(colour.shift_lightness(value, by))[0]
    assert after == pytest.approx(np.clip(before + by, 0, 100), abs=0.8)


@pytest.mark.long
@given(hexes, st.dictionaries(st.text("abc", min_size=1), hexes, min_size=1, max_size=12))
@settings(max_examples=60)
def test_nearest_ranks_the_whole_palette(value, palette):
    ranked = colour.nearest(value, palette)
    assert sorted(m.code for m in ranked) == sorted(palette)
    assert ranked == sorted(ranked, key=lambda m: (m.difference, m.code))
    for code, difference in ranked:
        assert difference == pytest.approx(colour.difference(value, palette[code]), abs=1e-9)


@given(hexes, hexes)
def test_contrast_is_symmetric_and_between_1_and_21(first, second):
    ratio = colour.contrast_ratio(first, second)
    assert 1 <= ratio <= 21
    assert ratio == colour.contrast_ratio(second, first)


@given(hexes)
def test_black_or_white_text_always_reads(background):
    assert colour.contrast_ratio(colour.text_colour_on(background), background) >= 4.5


def test_nearest_of_an_empty_palette_is_nothing():
    assert colour.nearest("#123456", {}) == []


def test_hardly_distinguishable_parts_a_poor_match_from_an_accent():
    assert colour.hardly_distinguishable("#101214", "#16181b")
    assert not colour.hardly_distinguishable("#101214", "#c8102e")
    assert not colour.hardly_distinguishable("#101214", "#16181b", threshold=0.5)


@pytest.mark.parametrize("value", ["", "red", "#12345", "#1234567", "123456", "#12345g", "#123456\n", None])
def test_what_is_not_a_colour_is_named(value):
    with pytest.raises(colour.ColourError, match="is not a colour"):
        colour.hex_to_rgb(value)


def test_mix_goes_from_one_end_to_the_other():
    assert colour.mix("#203040", "#e0d0c0", 0) == "#203040"
    assert colour.mix("#203040", "#e0d0c0", 1) == "#e0d0c0"
    assert colour.hex_to_lab(colour.mix("#000000", "#ffffff", 0.5))[0] == pytest.approx(50, abs=0.5)


def test_what_srgb_cannot_show_keeps_lightness_and_hue_and_gives_up_chroma():
    """A cyan beyond the gamut: the nearest shown has the same L* and hue angle, and less chroma."""
    wanted = (60.0, -80.0, -40.0)
    lightness, a, b = colour.hex_to_lab(colour.lab_to_hex(wanted))
    assert lightness == pytest.approx(60, abs=0.6)
    assert np.arctan2(b, a) == pytest.approx(np.arctan2(-40, -80), abs=0.03)
    assert 20 < np.hypot(a, b) < np.hypot(80, 40)
    brighter = np.array((60.0, a * 1.06, b * 1.06))
    assert ((colour.lab_to_rgb(brighter) < -0.5) | (colour.lab_to_rgb(brighter) > 255.5)).any()


@pytest.mark.parametrize(
    ("lightness", "shown"),
    [(-5, "#000000"), (0, "#000000"), (100, "#ffffff"), (100.4, "#ffffff"), (130, "#ffffff")],
)
def test_beyond_black_and_white_is_black_and_white(lightness, shown):
    assert colour.lab_to_hex((lightness, 30, -20)) == shown


def test_channels_beyond_the_range_are_held_inside_and_rounded():
    assert colour.rgb_to_hex((-3, 127.6, 300)) == "#0080ff"


def test_just_below_the_threshold_is_hard_to_tell_and_at_it_is_not():
    apart = colour.difference("#101214", "#16181b")
    assert not colour.hardly_distinguishable("#101214", "#16181b", threshold=apart)
    assert colour.hardly_distinguishable("#101214", "#16181b", threshold=apart + 1e-9)


def test_no_shift_leaves_the_colour_as_it_was_written():
    assert colour.shift_lightness("#AbCdEf", 0) == "#AbCdEf"


def test_luminance_of_many_colours_is_that_of_each():
    many = colour.relative_luminance([(0, 0, 0), (255, 255, 255), (255, 0, 0)])
    assert many == pytest.approx([0, 1, 0.2126])
    single = colour.relative_luminance((255, 0, 0))
    assert isinstance(single, float)
    assert single == pytest.approx(0.2126)


def test_text_is_black_on_light_and_white_on_dark():
    assert (colour.text_colour_on("#f0e68c"), colour.text_colour_on("#101830")) == ("#000000", "#ffffff")


def test_two_single_colours_differ_by_a_plain_number():
    assert type(colour.delta_e_2000((50, 0, 0), (60, 0, 0))) is float
    assert type(colour.relative_luminance((255, 0, 0))) is float
    assert np.shape(colour.delta_e_2000([(50, 0, 0)] * 3, (60, 0, 0))) == (3,)


def test_the_usual_threshold_is_five():
    """Common practice, no source: a difference of 5 is the least that reads as an accent."""
    greys = [f"#{n:02x}{n:02x}{n:02x}" for n in range(256)]
    near = [colour.difference("#121212", grey) < 5 for grey in greys[18:]]
    just_under, just_over = greys[18 + near.index(False) - 1], greys[18 + near.index(False)]
    assert 4 < colour.difference("#121212", just_under) < 5 <= colour.difference("#121212", just_over) < 6
    assert colour.hardly_distinguishable("#121212", just_under)
    assert not colour.hardly_distinguishable("#121212", just_over)
