"""Tones: joints that can be seen on any paint, and shading that leaves room at the ends."""

import pytest

from configurator.colour import hex_to_lab
from configurator.pictures.tones import Gradient, ToneError, parse, resolve


def lightness(colour):
    return float(hex_to_lab(colour)[0])


@pytest.mark.parametrize("paint", ["#f1f2f0", "#9d1c2b", "#5d656d", "#2f4a3c"])
def test_a_joint_is_darker_than_its_panel(paint):
    assert lightness(resolve("line", paint)) < lightness(paint) - 8


@pytest.mark.parametrize("paint", ["#121417", "#17181a", "#0b0b0d"])
def test_on_a_dark_panel_a_joint_is_lighter_since_a_darker_one_is_not_seen(paint):
    assert lightness(resolve("line", paint)) > lightness(paint) + 8


@pytest.mark.parametrize("paint", ["#0b0b0d", "#17263f", "#9d1c2b", "#f1f2f0"])
def test_shades_of_any_paint_stay_apart_and_in_order(paint):
    light, plain, dark, darker = (
        lightness(resolve(tone, paint)) for tone in ("paint+6", "paint", "paint-10", "paint-20")
    )
    assert light > plain > dark > darker


def test_light_shows_more_on_a_dark_lacquer():
    def gain(paint):
        return lightness(resolve("paint+10", paint)) - lightness(paint)

    assert gain("#17181a") > gain("#5d656d") + 1


def test_a_gradient_goes_from_its_top_to_its_bottom():
    shade = resolve("paint+8~-10", "#808080")
    assert isinstance(shade, Gradient)
    assert lightness(shade.top) == pytest.approx(lightness("#808080") + 8, abs=0.6)
    assert lightness(shade.bottom) == pytest.approx(lightness("#808080") - 10, abs=0.6)


def test_a_material_keeps_its_colour_whatever_the_paint():
    assert resolve("chrome", "#ff0000") == resolve("chrome", "#00ff00") == "#c9ced2"


@pytest.mark.parametrize("tone", ["", "mauve", "paint+", "paint 3", "paint+3~4", "paint+3\n", "Paint"])
def test_what_is_no_tone_is_refused(tone):
    with pytest.raises(ToneError):
        parse(tone)
