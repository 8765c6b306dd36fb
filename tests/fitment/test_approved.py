"""The cross-sections that were looked at: whoever changes the drawing looks at them again and stores them.

`python -m tests.fitment.test_approved` writes them anew. What is compared is what is drawn: elements,
classes, colours and words exactly, numbers to a tenth of a pixel, so that a machine that rounds otherwise
still agrees.
"""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from configurator.fitment import check_fit
from configurator.fitment.drawing import cross_section_svg

from .parts import read

FOLDER = Path(__file__).parent / "data" / "sections"
STEPS = [[208, -85], [206, -30], [200, 20], [165, 38], [90, 12]]
PICTURES = {
    "as-it-is": {},
    "bare-rear": {
        "axle__position": "rear",
        "spacer": None,
        "fastener": None,
        "wheel__inside_profile_mm": ...,
        "axle__strut_face_mm": -150.0,
        "axle__arch_lip_mm": 60.0,
        "axle__brake_envelope_mm": [[150.0, -20.0]],
        "wheel__offset_mm": 51,
    },
    "stretched": {
        "tyre": "185/60R18 79H",
        "wheel__inside_profile_mm": STEPS,
        "wheel__bore_mm": ...,
        "axle__brake_envelope_mm": [[150, -60], [182, -20], [80, 25]],
        "axle__inboard_points_mm": [[354.5, -161.0]],
        "axle__spigot_diameter_mm": ...,
        "axle__bolt_circle_mm": ...,
        "axle__arch_diameter_mm": ...,
        "spacer__spigot_height_mm": 0.0,
        "spacer__bore_mm": ...,
        "axle__original_wheel": ...,
    },
    "little-known": {
        "wheel__offset_mm": ...,
        "axle__arch_lip_mm": ...,
        "axle__brake_envelope_mm": ...,
        "axle__spigot_height_mm": ...,
    },
}
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def drawn(name):
    given = read(**PICTURES[name])
    report = check_fit(given.axle, given.wheel, given.tyre, given.spacer, given.fastener)
    return cross_section_svg(given.axle, given.wheel, given.tyre, given.spacer, report)


def taken_apart(svg):
    """Return the picture's elements as texts without numbers, and all its numbers."""
    words, numbers = [], []
    for element in ElementTree.fromstring(svg).iter():
        for value in (element.tag, element.text or "", *(f"{k}={v}" for k, v in sorted(element.items()))):
            # Colours and ids hold digits that are no measures.
            measures = "" if "=#" in value or value.startswith(("id=", "aria")) else value
            numbers += [float(number) for number in NUMBER.findall(measures)]
            words.append(NUMBER.sub("0", value) if measures else value)
    return words, numbers


@pytest.mark.parametrize("name", PICTURES)
def test_it_is_drawn_as_it_was_when_it_was_looked_at(name):
    words, numbers = taken_apart(drawn(name))
    seen_words, seen_numbers = taken_apart((FOLDER / f"{name}.svg").read_text("utf-8"))
    assert words == seen_words
    assert numbers == pytest.approx(seen_numbers, abs=0.11)


if __name__ == "__main__":
    for each in PICTURES:
        (FOLDER / f"{each}.svg").write_text(drawn(each) + "\n", encoding="utf-8")
