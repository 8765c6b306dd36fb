"""An accent colour of the site: judged on the pages' own grounds, and made readable where it is not.

The limits are those of WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
"""

from __future__ import annotations

from dataclasses import dataclass

from configurator.colour import contrast_ratio, mix, text_colour_on
from configurator.colour.contrast import AA_TEXT

# The grounds that links and buttons stand on, as in kerb.css: paper, card, well and the tints of notices.
LIGHT_GROUNDS = ("#e8ece5", "#fbfcf8", "#f1f4ee", "#e2f0e3", "#faeecf", "#fbe6df", "#dfeef0")
DARK_GROUNDS = ("#13181a", "#1b2224", "#161d1f", "#1b2e23", "#322a17", "#38211b", "#172c31")
STEPS = 100


@dataclass(frozen=True)
class Accent:
    """One accent in both lights, each with the colour of words on it."""

    light: str
    on_light: str
    dark: str
    on_dark: str


def worst(colour: str, grounds: tuple[str, ...] = LIGHT_GROUNDS) -> float:
    """Return the least contrast ratio of a colour with the grounds it stands on."""
    return min(contrast_ratio(colour, ground) for ground in grounds)


def reads_well(colour: str, grounds: tuple[str, ...] = LIGHT_GROUNDS) -> bool:
    """Whether links in the colour can be read on every ground, and words on a button of it."""
    return worst(colour, grounds) >= AA_TEXT and contrast_ratio(colour, text_colour_on(colour)) >= AA_TEXT


def nearest(colour: str, grounds: tuple[str, ...] = LIGHT_GROUNDS) -> str:
    """Return the colour itself, or the first towards black (on light grounds) or white that reads well."""
    end = "#000000" if grounds == LIGHT_GROUNDS else "#ffffff"
    shades = (mix(colour, end, step / STEPS) if step else colour for step in range(STEPS + 1))
    return next(shade for shade in shades if reads_well(shade, grounds))


def in_both_lights(colour: str) -> Accent:
    """Return the accent for light and dark pages."""
    light, dark = nearest(colour), nearest(colour, DARK_GROUNDS)
    return Accent(light, text_colour_on(light), dark, text_colour_on(dark))
