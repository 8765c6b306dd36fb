"""Corners of the parts around the checks: what is named as missing, counted, said and drawn at the edges."""

from xml.etree import ElementTree

import pytest

from configurator.fitment import (
    Fastener,
    Spacer,
    Wheel,
    cautions,
    check_fit,
    cross_section_svg,
    filter_grid,
    parse_tyre,
    single_changes,
    suggest_spacers,
    suggest_tyres,
)
from configurator.fitment.codes import word
from configurator.fitment.designation import tyre_from_text
from configurator.fitment.tyre_size import drawn_diameter_mm, drawn_width_mm

from .parts import judge, read


def missing(check, **changes):
    return judge(**changes).check(check).missing


def test_a_given_fastener_makes_the_originals_sizes_matter_less():
    assert missing("fastener_length", axle__original_shank_mm=...) == ("axle.original_shank_mm",)
    assert judge(axle__original_shank_mm=...).check("thread_engagement").verdict == "fits"
    without = {"axle__original_shank_mm": ..., "fastener": None}
    for check in ("fastener_length", "thread_engagement", "fastener_protrusion"):
        assert missing(check, **without) == ("axle.original_shank_mm",)
    assert missing("thread_engagement", fastener__shank_mm=...) == ("fastener.shank_mm",)
    assert missing("thread_engagement", wheel__seat_thickness_mm=...) == ("wheel.seat_thickness_mm",)
    assert judge(wheel__seat_thickness_mm=..., fastener=None).check("thread_engagement").verdict == "fits"
    assert missing("clamp_load", fastener__property_class=...) == ("fastener.property_class",)
    assert missing("clamp_load", axle__property_class=..., fastener=None) == ("axle.property_class",)
    assert judge(axle__property_class=...).check("clamp_load").verdict == "fits"
    assert missing("thread_engagement", axle__fastener=...) == ("axle.fastener",)


def test_studs_miss_what_studs_need():
    nuts = {"axle__fastener": "nut", "fastener__shank_mm": ...}
    assert missing("fastener_length", **nuts) == ("axle.stud_length_mm",)
    assert missing("thread_engagement", **nuts) == ("axle.stud_length_mm",)
    bolt_on = {"spacer__kind": "bolt_on", "spacer__thickness_mm": 40}
    assert missing("thread_engagement", **nuts, **bolt_on) == ("spacer.stud_length_mm",)
    assert missing("spacer_kind", **nuts, **bolt_on) == ("axle.stud_length_mm",)
    # Studs too short for any wheel are a no, whatever its seat.
    short = nuts | {"axle__stud_length_mm": 20.0, "wheel__seat_thickness_mm": ...}
    assert judge(**short).check("fastener_length").verdict == "no"
    assert judge(**short).check("thread_engagement").verdict == "no"
    assert judge(**short).check("thread_engagement").value == 5.0


def test_bolts_of_another_thread_hold_nothing_however_little_is_known():
    found = judge(fastener__thread="M12x1.5", fastener__shank_mm=...).check("thread_engagement")
    assert (found.verdict, found.value) == ("no", 0.0)


def test_the_bolts_behind_a_spacer_miss_the_spacers_seat():
    hub = {
        "spacer__kind": "bolt_on",
        "spacer__thickness_mm": 25,
        "spacer__material": "steel",
        "fastener": None,
    }
    assert missing("thread_engagement", **hub, spacer__hub_shank_mm=30.0) == ("spacer.hub_seat_thickness_mm",)
    both = hub | {"spacer__hub_shank_mm": 30.0, "spacer__hub_seat_thickness_mm": 10.0}
    assert missing("thread_engagement", **both, axle__hub_thread_mm=...) == ("axle.hub_thread_mm",)


def test_grid_counts_what_it_judged():
    given = read(spacer=None, fastener=None)
    four = Wheel(**{**vars(given.wheel), "bolt_count": 4})
    spacers = [None, Spacer(thickness_mm=15, kind="slip_on", bore_mm=66.6, spigot_height_mm=10.0)]
    grid = filter_grid(given.axle, [four, given.wheel], [given.tyre], spacers)
    assert grid.counts() == {"fits": 1, "measure": 0, "unknown": 0, "no": 3}
    assert grid.reasons() == {("no", "bolt_circle"): 2, ("no", "inboard_clearance"): 1}
    assert grid.best() == [(1, 0, 1), (0, 0, 0), (0, 0, 1), (1, 0, 0)]
    assert grid.best(1) == [(1, 0, 1)]


def test_codes_in_words():
    assert [word("seat", code) for code in ("cone60", "ball13", "flat")] == [
        "a 60° cone", "a ball of 13 mm radius", "a flat seat"
    ]  # fmt: skip
    assert word("check", "axle_pairing") == "front against rear circumference"
    assert word("field", "axle.arch_lip_mm") == "where the arch's edge stands"
    assert word("field", "axle.nothing") == "axle.nothing"
    assert word("thread", "M14x1.5") == "M14x1.5"


def test_a_tyre_stays_a_tyre_at_the_border():
    tyre = parse_tyre("235/50R18 101H")
    assert tyre_from_text(tyre) is tyre


def test_a_row_that_is_not_there_is_an_error():
    with pytest.raises(KeyError):
        judge().check("colour")


def test_no_change_of_track_needs_no_caution():
    given = read(spacer=None, wheel__offset_mm=51)
    report = check_fit(given.axle, given.wheel, given.tyre)
    assert "track" not in [caution.id for caution in cautions(report, given.axle)]


def test_suggestions_without_data_say_so():
    given = read(spacer=None, fastener=None, axle__arch_lip_mm=..., axle__original_tyre=...)
    spacer = Spacer(thickness_mm=15, kind="slip_on", bore_mm=66.6, spigot_height_mm=10.0)
    found = suggest_spacers(given.axle, given.wheel, given.tyre, [None, spacer])
    assert [one.messages[0].id for one in found] == ["suggest.spacer_arch_unknown"]
    assert suggest_spacers(given.axle, given.wheel, given.tyre, [spacer])[0].measure == float("inf")
    tyres = suggest_tyres(given.axle, given.wheel, [given.tyre], spacer)
    assert [one.messages[0].id for one in tyres] == ["suggest.tyre_unknown"]


def test_every_kind_of_mending_has_words():
    bad = read(wheel__bolt_count=4, spacer=None, fastener=None, axle__strut_face_mm=-200.0)
    good = read().wheel
    nameless = Wheel(**{**vars(good), "diameter_in": 18, "offset_mm": None})
    found = single_changes(bad.axle, bad.wheel, bad.tyre, wheels=[good, nameless])
    assert [one.messages[0].id for one in found] == ["mends.wheel", "mends.wheel_unknown"]
    assert found[0].reason == "a wheel 8 x 18 offset 45 instead mends bolt circle"
    short = read(fastener__shank_mm=27.0)
    bolts = [Fastener(**{**vars(short.fastener), "shank_mm": 42.0}), None]
    found = single_changes(short.axle, short.wheel, short.tyre, short.spacer, short.fastener, fasteners=bolts)
    assert {one.messages[0].id for one in found} == {"mends.fastener", "mends.fastener_needed"}
    wide = read(spacer__thickness_mm=24.0, fastener=None, axle__strut_face_mm=-200.0)
    found = single_changes(wide.axle, wide.wheel, wide.tyre, wide.spacer, spacers=[None])
    assert [one.messages[0].id for one in found] == ["mends.no_spacer"]


def test_what_is_not_known_is_still_drawn():
    tyre = parse_tyre("185R14C 102/100R")
    assert drawn_diameter_mm(tyre) == 356 + 2 * 152
    assert drawn_width_mm(tyre, 5.5) == 185
    given = read(tyre="185R14C 102/100R", wheel__diameter_in=14)
    report = check_fit(given.axle, given.wheel, given.tyre, given.spacer)
    assert (
        ElementTree.fromstring(cross_section_svg(given.axle, given.wheel, given.tyre, None, report))
        is not None
    )


def test_the_drawing_is_worded_by_whoever_asks():
    given, asked = read(), []
    report = check_fit(given.axle, given.wheel, given.tyre, given.spacer, given.fastener)

    def say(message_id, figures):
        asked.append((message_id, dict(figures)))
        return f"[{message_id}]"

    root = ElementTree.fromstring(
        cross_section_svg(given.axle, given.wheel, given.tyre, given.spacer, report, say)
    )
    texts = [element.text for element in root.iter() if element.tag.endswith("text")]
    assert "[section.to_arch]" in texts
    assert ("section.to_arch", {"gap_mm": 8.76, "verdict": "fits"}) in asked
    own = {given.tyre.designation.split(" ")[0]}
    assert [text for text in texts if not text.startswith("[") and text not in own] == []
