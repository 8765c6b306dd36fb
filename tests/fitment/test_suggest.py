"""Suggestions are fits that were judged, ranked by a number that is shown."""

from configurator.fitment import (
    Spacer,
    cautions,
    check_fit,
    parse_tyre,
    single_changes,
    suggest_spacers,
    suggest_tyres,
)

from .parts import read

SPACERS = [
    None,
    *(
        Spacer(thickness_mm=t, kind="slip_on", bore_mm=66.6, spigot_height_mm=10.0 if t >= 12 else 0.0)
        for t in (5.0, 12.0, 15.0, 18.0, 20.0)
    ),
]
TYRES = [parse_tyre(t) for t in ("235/50R18 101H XL", "225/50R18 99W", "215/55R18 99V", "225/45R18 95W")]
GIVEN = read(spacer=None, fastener=None, axle__strut_face_mm=-180.0)


def test_what_simply_fits_comes_first_and_then_what_stands_nearest_to_the_arch():
    # Outer face 80.24 + spacer, arch 104; 2 + 0.1 + 5.01 mm of tolerance. 15 mm leave 8.76: it fits. 20 and
    # 18 leave less, 12 only just seats over the hub's spigot of 12, 5 comes near the strut: measure.
    found = suggest_spacers(GIVEN.axle, GIVEN.wheel, TYRES[0], SPACERS)
    assert [s.part and s.part.thickness_mm for s in found] == [15.0, 20.0, 18.0, 12.0, 5.0]
    assert [round(s.measure, 2) for s in found] == [8.76, 3.76, 5.76, 11.76, 18.76]
    assert [s.report.verdict for s in found] == ["fits", "measure", "measure", "measure", "measure"]
    assert [dict(n.numbers)["shank_mm"] for s in found for n in s.fasteners] == [42.0, 47.0, 45.0, 39.0, 32.0]
    assert "needs 42 mm bolts: 27 + 15" in found[0].reason


def test_no_spacer_is_suggested_for_a_fit_that_fails_anyway():
    heavy = read(axle__axle_load_kg=1700, spacer=None, fastener=None)
    assert suggest_spacers(heavy.axle, heavy.wheel, TYRES[0], SPACERS) == []


def test_tyres_keep_the_circumference():
    # 672 mm before; 225/50R18 is 683 (+1.6 %), 215/55R18 693 (+3.1 %), 225/45R18 659 (-1.9 %).
    found = suggest_tyres(GIVEN.axle, GIVEN.wheel, TYRES)
    assert [s.part.designation for s in found[:1]] == ["235/50R18 101H XL"]
    light = read(
        spacer=None,
        fastener=None,
        axle__strut_face_mm=-190.0,
        axle__axle_load_kg=1300,
        axle__arch_diameter_mm=740.0,
    )
    found = suggest_tyres(light.axle, light.wheel, TYRES)
    assert [(s.part.designation, s.report.verdict) for s in found] == [
        ("225/50R18 99W", "fits"),
        ("225/45R18 95W", "fits"),
        ("235/50R18 101H XL", "fits"),
    ]
    assert found[0].reason == "225/50R18 99W: circumference +1.6 per cent"


def test_single_changes_mend_what_fails():
    thick = Spacer(thickness_mm=25.0, kind="slip_on", bore_mm=66.6, spigot_height_mm=10.0)
    found = single_changes(GIVEN.axle, GIVEN.wheel, TYRES[0], thick, spacers=SPACERS, tyres=TYRES)
    assert [(s.kind, s.part and s.part.thickness_mm, s.report.verdict) for s in found] == [
        ("spacer", 15.0, "fits"),
        ("spacer", 20.0, "measure"),
        ("spacer", 18.0, "measure"),
    ]
    assert found[0].reason == "a 15 mm spacer instead mends position in the arch, cover of the tyre"
    assert all(s.report.verdict != "no" for s in found)


def test_the_wrong_bolt_is_mended_by_the_needed_one():
    given = read(fastener__shank_mm=27.0)
    found = single_changes(
        given.axle, given.wheel, given.tyre, given.spacer, given.fastener, fasteners=[None], spacers=[None]
    )
    assert [(s.kind, s.part) for s in found if s.kind == "fastener"] == [("fastener", None)]
    assert dict(found[-1].report.needs[0].numbers)["shank_mm"] == 42.0


def test_a_fit_that_does_not_fail_needs_no_change():
    assert single_changes(GIVEN.axle, GIVEN.wheel, TYRES[0], spacers=SPACERS) == []


def test_cautions_stand_where_work_is_specified():
    given = read()
    report = check_fit(given.axle, given.wheel, given.tyre, given.spacer, given.fastener)
    found = {c.id: c.text for c in cautions(report, given.axle, given.spacer)}
    assert list(found) == ["advice", "torque", "mating_faces", "spacer", "track", "recheck", "insurer"]
    assert "180 N m" in found["torque"]
    assert "never on threads or seats" in found["mating_faces"]
    assert "50 to 100 km" in found["recheck"]
    assert "not a certificate" in found["advice"]
    unknown = read(spacer=None, axle__torque_nm=...)
    report = check_fit(unknown.axle, unknown.wheel, unknown.tyre)
    found = {c.id: c.text for c in cautions(report, unknown.axle)}
    assert "look it up" in found["torque"]
    assert "measure" in found
    assert "spacer" not in found
