"""The picture: true to scale, spoken to screen readers, allowed by a strict content policy."""

from xml.etree import ElementTree

import pytest

from configurator.fitment import check_fit
from configurator.fitment.drawing import cross_section_svg

from .parts import read

SVG = "{http://www.w3.org/2000/svg}"
STEPS = [[208, -85], [206, -30], [200, 20], [165, 38], [90, 12]]
CASES = [
    {},
    {"spacer": None},
    {"wheel__inside_profile_mm": ..., "axle__strut_face_mm": -150.0},
    {"wheel__inside_profile_mm": STEPS, "axle__brake_envelope_mm": [[150, -60], [182, -20], [80, 25]]},
    {"wheel__offset_mm": ...},
    {"axle__original_tyre": ..., "axle__arch_lip_mm": ..., "axle__strut_face_mm": ...},
    {"axle__bolt_circle_mm": ..., "axle__spigot_diameter_mm": ..., "axle__brake_envelope_mm": [[150, 0]]},
    {"axle__inboard_points_mm": [[354.5, -161.0]], "tyre": "185/60R18 79H"},
]


def draw(**changes):
    given = read(**changes)
    report = check_fit(given.axle, given.wheel, given.tyre, given.spacer, given.fastener)
    return ElementTree.fromstring(
        cross_section_svg(given.axle, given.wheel, given.tyre, given.spacer, report)
    )


@pytest.mark.parametrize("changes", CASES)
def test_every_fit_can_be_drawn_and_is_safe_to_embed(changes):
    root = draw(**changes)
    assert root.get("role") == "img"
    ids = {e.get("id"): e.text for e in root.iter() if e.get("id")}
    assert set(root.get("aria-labelledby").split()) <= set(ids)
    assert all(ids.values())
    for element in root.iter():
        assert element.tag.removeprefix(SVG) in {"svg", "title", "desc", "rect", "path", "text"}
        assert not {name for name in element.attrib if name == "style" or name.startswith("on")}


def _extent(root, kind):
    """Return the least and greatest x of a part's path."""
    path = next(e.get("d") for e in root.iter(f"{SVG}path") if e.get("class") == f"fit-{kind}")
    numbers = path.replace("M", " ").replace("L", " ").replace("C", " ").replace("Z", " ").split()
    xs = [float(pair.split(",")[0]) for pair in numbers]
    return min(xs), max(xs)


def test_it_is_drawn_to_scale():
    root = draw()
    tyre, spacer = _extent(root, "tyre"), _extent(root, "spacer")
    scale = (tyre[1] - tyre[0]) / 250.48  # the section width of test_checks
    # The spacer of 15 mm carries a spigot of 10 mm; the tyre's face is 95.24 mm out.
    assert spacer[1] - spacer[0] == pytest.approx(25 * scale, abs=0.3)
    assert tyre[1] - spacer[0] == pytest.approx(95.24 * scale, abs=0.3)
    strut, arch = _extent(root, "strut"), _extent(root, "arch")
    assert tyre[0] - strut[1] == pytest.approx(16.76 * scale, abs=0.3)
    assert arch[1] - tyre[1] == pytest.approx(8.76 * scale, abs=0.3)
    # The original, 6.5 inch with 205/65: S = 205 + 0.4 (165.1 - 143.5) = 213.64, offset 51, no spacer.
    original = _extent(root, "original")
    assert original[1] - original[0] == pytest.approx(213.64 * scale, abs=0.3)
    assert original[1] - spacer[0] == pytest.approx((213.64 / 2 - 51) * scale, abs=0.3)


def test_words_tell_what_colours_show():
    texts = [e.text for e in draw(axle__arch_lip_mm=85.0).iter(f"{SVG}text")]
    assert "10.2 mm past the arch: does not fit" in texts
    assert "16.8 mm to the strut: fits" in texts
    assert "spacer 15 mm" in texts
    assert "effective offset 30 mm" in texts
    description = draw().find(f"{SVG}desc").text
    assert "235/50R18 101H XL" in description
    assert "stands 95.2 mm out" in description


def test_texts_stay_inside_the_picture():
    for changes in CASES:
        root = draw(**changes)
        width, height = (float(v) for v in root.get("viewBox").split()[2:])
        for text in root.iter(f"{SVG}text"):
            assert 0 < float(text.get("x")) < width
            assert 0 < float(text.get("y")) < height
