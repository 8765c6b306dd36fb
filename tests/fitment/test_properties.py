"""Laws that hold for any fit."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.fitment import Spacer, check_fit, filter_grid
from configurator.fitment.arithmetic import VERDICTS
from configurator.fitment.checks import RULES
from configurator.fitment.columns import spacer_columns, tyre_columns, wheel_columns
from configurator.fitment.defaults import AXLE_TOLERANCE_MM
from configurator.fitment.numbers import (
    axle_numbers,
    fastener_numbers,
    spacer_numbers,
    tyre_numbers,
    wheel_numbers,
)
from configurator.fitment.quantities import Quantities
from configurator.fitment.tables import load_kg

from .parts import read
from .strategies import GIVEN, axles, few, spacers, tyres, wheels


@pytest.mark.long
@given(axles, st.lists(wheels, **few), st.lists(tyres, **few), st.lists(spacers, **few))
@settings(max_examples=40)
def test_scalar_and_array_answers_agree(axle, wheel_list, tyre_list, spacer_list):
    grid = filter_grid(axle, wheel_list, tyre_list, spacer_list)
    many = Quantities(
        axle_numbers(axle),
        wheel_columns(wheel_list),
        tyre_columns(tyre_list, axle),
        spacer_columns(spacer_list),
        fastener_numbers(axle, None),
    )
    shape = (len(tyre_list), len(spacer_list), len(wheel_list))
    margins = {rule.id: rule.formula(many) for rule in RULES if not rule.note}
    for t, s, w in np.ndindex(shape):
        wheel, tyre, spacer = wheel_list[w], tyre_list[t], spacer_list[s]
        report = check_fit(axle, wheel, tyre, spacer)
        assert report.verdict == grid.verdict(w, t, s)
        assert (report.deciding.id if report.deciding else None) == grid.deciding(w, t, s)
        one = Quantities(
            axle_numbers(axle),
            wheel_numbers(wheel),
            tyre_numbers(tyre, axle),
            spacer_numbers(spacer),
            fastener_numbers(axle, None),
        )
        for rule in RULES:
            if rule.note or margins[rule.id] is None:
                continue
            array, scalar = margins[rule.id], rule.formula(one)
            for name in ("margin", "tolerance"):
                found = np.broadcast_to(getattr(array, name), shape)[t, s, w]
                assert found == pytest.approx(getattr(scalar, name), abs=1e-9, nan_ok=True), (rule.id, name)


@pytest.mark.long
@given(axles, wheels, tyres, st.floats(1, 30), st.floats(1, 30))
def test_a_thicker_spacer_never_gains_outboard_and_never_loses_inboard(axle, wheel, tyre, a, b):
    thin, thick = (
        check_fit(axle, wheel, tyre, Spacer(thickness_mm=t, kind="slip_on")) for t in sorted((a, b))
    )
    for check, sign in (("outboard_position", -1), ("wheel_cover", -1), ("inboard_clearance", 1)):
        before, after = thin.check(check).margin, thick.check(check).margin
        assert (before is None) == (after is None)
        if before is not None and thin.check(check).unit == "mm":
            assert sign * (after - before) >= -1e-9


@pytest.mark.long
@given(wheels, tyres, st.integers(1, 8))
def test_a_wider_tyre_never_gains_on_either_side(wheel, tyre, steps):
    wider = replace(tyre, width_mm=tyre.width_mm + 5 * steps)
    narrow, wide = (check_fit(GIVEN.axle, wheel, t) for t in (tyre, wider))
    for check in ("outboard_position", "inboard_clearance", "wheel_cover"):
        before, after = narrow.check(check).margin, wide.check(check).margin
        if before is not None:
            assert after <= before + 1e-9


@pytest.mark.long
@given(axles, wheels, tyres, spacers, st.floats(0, 20))
def test_more_tolerance_only_ever_turns_fits_into_measure(axle, wheel, tyre, spacer, more):
    stated = AXLE_TOLERANCE_MM if axle.tolerance_mm is None else axle.tolerance_mm
    loose = replace(axle, tolerance_mm=stated + more)
    for exact, vague in zip(
        check_fit(axle, wheel, tyre, spacer).checks, check_fit(loose, wheel, tyre, spacer).checks, strict=True
    ):
        assert (exact.verdict, vague.verdict) in {
            *((v, v) for v in (*VERDICTS, "note")),
            ("fits", "measure"),
        }


@pytest.mark.long
@given(axles, wheels, tyres, spacers)
def test_verdicts_follow_from_margin_and_tolerance_alone(axle, wheel, tyre, spacer):
    for row in check_fit(axle, wheel, tyre, spacer).checks:
        if row.verdict in ("note", "unknown"):
            assert row.margin is None
            continue
        wanted = "no" if row.margin < -1e-9 else "fits" if row.margin >= row.tolerance - 1e-9 else "measure"
        assert row.verdict == wanted


OPTIONAL = [
    *("bolt_count", "bolt_circle_mm", "spigot_diameter_mm", "spigot_height_mm", "fastener", "thread"),
    *("property_class", "original_shank_mm", "original_seat_thickness_mm", "hub_thread_mm"),
    *("free_depth_behind_hub_mm", "axle_load_kg", "max_speed_kmh", "original_track_mm", "original_wheel"),
    *("original_tyre", "arch_lip_mm", "strut_face_mm", "arch_diameter_mm", "brake_envelope_mm", "torque_nm"),
]


FULL = read(fastener=None)


@pytest.mark.parametrize("field", OPTIONAL)
def test_nothing_missing_is_ever_a_pass(field):
    report = check_fit(replace(FULL.axle, **{field: None}), FULL.wheel, FULL.tyre, FULL.spacer)
    assert report.verdict == "unknown"
    missing = {name for row in report.checks for name in row.missing}
    assert missing == {f"axle.{field}"} or {name.rpartition(".")[0] for name in missing} == {f"axle.{field}"}
    assert any(need.what == "input" for need in report.needs)


@pytest.mark.long
@given(axles, wheels, tyres, spacers)
def test_an_unknown_row_says_what_is_missing(axle, wheel, tyre, spacer):
    for row in check_fit(axle, wheel, tyre, spacer).checks:
        assert (row.verdict == "unknown") == bool(row.missing), row


LENGTHS = [
    *("bolt_circle_mm", "spigot_diameter_mm", "arch_lip_mm", "strut_face_mm", "tolerance_mm"),
]


@pytest.mark.long
@given(wheels, st.floats(60, 130), st.floats(-190, -130), st.floats(0, 4), st.sampled_from([0.5, 2.0, 4.0]))
def test_scaling_all_lengths_of_a_position_leaves_the_verdict(wheel, lip, strut, tolerance, scale):
    """Position checks are geometry alone: twice the size everywhere gives twice the margins."""
    if wheel.width_in is None or wheel.offset_mm is None:
        return

    def report(k):
        axle = replace(
            GIVEN.axle,
            arch_lip_mm=lip * k,
            strut_face_mm=strut * k,
            tolerance_mm=tolerance * k,
            required_inboard_clearance_mm=5 * k,
        )
        # A measured section wider than the rim over its flanges, which are of one size whatever the scale.
        section = (wheel.width_in * 25.4 + 130) * k
        tyre = replace(GIVEN.tyre, section_width_mm=section, tolerance_mm=k)
        scaled = replace(
            wheel,
            offset_mm=wheel.offset_mm * k,
            width_in=wheel.width_in * k,
            tolerance_mm=(wheel.tolerance_mm or 0) * k,
        )
        spacer = Spacer(thickness_mm=10 * k, kind="slip_on", tolerance_mm=0.1 * k)
        return check_fit(axle, scaled, tyre, spacer)

    one, other = report(1.0), report(scale)
    for check in ("outboard_position", "inboard_clearance", "wheel_cover"):
        assert one.check(check).verdict == other.check(check).verdict
        assert one.check(check).margin * scale == pytest.approx(other.check(check).margin, abs=1e-6)


@given(st.sampled_from(sorted(load_kg())), st.sampled_from([500.0, 1500.0, 2500.0]))
def test_scaling_loads_leaves_the_verdict(index, load):
    tyre = replace(GIVEN.tyre, load_index=index)
    heavier = index + 80  # ten times the load, to the table's rounding
    if heavier not in load_kg():
        return
    light = check_fit(replace(GIVEN.axle, axle_load_kg=load), GIVEN.wheel, tyre)
    heavy = check_fit(
        replace(GIVEN.axle, axle_load_kg=load * 10), GIVEN.wheel, replace(tyre, load_index=heavier)
    )
    if abs(light.check("tyre_load").margin) > 2:  # the table cuts fractions off
        assert light.check("tyre_load").verdict == heavy.check("tyre_load").verdict


# Values among which one lets the check pass, if anything can.
MIGHT_BE = {
    "axle.spigot_height_mm": (0.0, 60.0),
    "axle.hub_thread_mm": (200.0,),
    "axle.stud_length_mm": (0.0, 150.0),
    "axle.arch_lip_mm": (400.0,),
    "axle.strut_face_mm": (-600.0,),
    # The original wheel's own offset leaves the most room at full lock.
    "wheel.offset_mm": (*(float(mm) for mm in range(-150, 151, 25)), GIVEN.axle.original_wheel.offset_mm),
    "wheel.bolt_count": (5,),
    "wheel.bolt_circle_mm": (112.0, 114.3),
    "wheel.bore_mm": (200.0,),
    "wheel.seat_thickness_mm": (0.0,),
    "wheel.load_rating_kg": (5000.0,),
    "spacer.bore_mm": (200.0,),
    "spacer.spigot_height_mm": (40.0,),
    "spacer.material": ("steel",),
}


@pytest.mark.long
@given(axles, wheels, tyres, spacers)
@settings(max_examples=30)
def test_a_definite_no_is_never_hidden_by_what_is_missing(axle, wheel, tyre, spacer):
    """Where one input is missing, some value of it must let the check pass, or the check is a no."""
    fit_parts = {"axle": axle, "wheel": wheel, "spacer": spacer}
    for row in check_fit(axle, wheel, tyre, spacer).checks:
        if row.verdict != "unknown" or len(row.missing) != 1 or row.missing[0] not in MIGHT_BE:
            continue
        part, field = row.missing[0].split(".")
        filled = [
            check_fit(**(fit_parts | {part: replace(fit_parts[part], **{field: value})}), tyre=tyre)
            for value in MIGHT_BE[row.missing[0]]
        ]
        assert any(report.check(row.id).verdict != "no" for report in filled), row


FIELDS = {
    "axle": OPTIONAL,
    "wheel": [
        *("width_in", "offset_mm", "bolt_count", "bolt_circle_mm", "bore_mm", "seat", "seat_thickness_mm"),
        *("load_rating_kg", "inside_profile_mm"),
    ],
}


@pytest.mark.long
@given(axles, wheels, tyres, spacers, st.data())
def test_taking_an_input_away_never_makes_a_check_pass(axle, wheel, tyre, spacer, data):
    part = data.draw(st.sampled_from(["axle", "wheel"]))
    field = data.draw(st.sampled_from(FIELDS[part]))
    parts = {"axle": axle, "wheel": wheel}
    before = check_fit(**parts, tyre=tyre, spacer=spacer)
    after = check_fit(**(parts | {part: replace(parts[part], **{field: None})}), tyre=tyre, spacer=spacer)
    better = {"no": {"no", "unknown"}, "unknown": {"unknown", "no"}, "measure": {"measure", "unknown"}}
    for old, new in zip(before.checks, after.checks, strict=True):
        # Fastener and circle of a bolt-on spacer repeat the hub's; a missing kind of fastener ends a note.
        if old.verdict == "note" or new.verdict == "note" or new.unit != old.unit:
            continue
        assert new.verdict in better.get(old.verdict, {"fits", "measure", "unknown"}), (old, new)
