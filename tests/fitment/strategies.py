"""Axles, wheels, tyres and spacers of any kind that can be."""

from dataclasses import replace

from hypothesis import strategies as st

from configurator.fitment import Spacer, parse_tyre

from .parts import read

GIVEN = read(spacer=None, fastener=None)


def maybe(strategy):
    return st.none() | strategy


mm = st.floats(0, 60, allow_subnormal=False).map(lambda v: round(v, 2))


profile_point = st.tuples(st.floats(140, 240).map(lambda v: round(v, 1)), mm.map(lambda y: y * 2 - 60))


wheels = st.builds(
    lambda **fields: replace(GIVEN.wheel, **fields),
    width_in=maybe(st.integers(8, 22).map(lambda v: v / 2)),
    diameter_in=st.sampled_from([16.0, 17.0, 18.0]),
    offset_mm=maybe(st.integers(0, 70).map(float)),
    bolt_count=st.sampled_from([None, 4, 5]),
    bolt_circle_mm=st.sampled_from([None, 112.0, 112.1, 114.3]),
    bore_mm=st.sampled_from([None, 57.1, 66.6, 72.6]),
    seat=st.sampled_from([None, "cone60", "ball13"]),
    seat_thickness_mm=maybe(mm),
    load_rating_kg=maybe(st.integers(500, 1200).map(float)),
    inside_profile_mm=maybe(st.lists(profile_point, min_size=2, max_size=5).map(tuple)),
    tolerance_mm=maybe(st.floats(0, 2)),
)


tyres = st.sampled_from(
    [
        *("205/65R16C 107/105T", "235/50R18 101H XL", "225/45R17 94W", "225/40R18", "305/25R18 99Y"),
        *("185/60R16 86H", "245/40ZR18 97Y", "255/55R18 109V"),
    ]
).map(parse_tyre)


spacers = maybe(
    st.builds(
        Spacer,
        thickness_mm=st.floats(1, 40).map(lambda v: round(v, 1)),
        kind=st.sampled_from([None, "slip_on", "bolt_on"]),
        bore_mm=st.sampled_from([None, 66.6, 72.6]),
        spigot_height_mm=maybe(mm),
        spigot_diameter_mm=st.sampled_from([None, 66.6, 72.6]),
        wheel_bolt_circle_mm=st.sampled_from([None, 114.3]),
        count=st.sampled_from([1, 1, 2]),
        tolerance_mm=maybe(st.floats(0, 1)),
    )
)


axles = st.builds(
    lambda **fields: replace(GIVEN.axle, **fields),
    fastener=st.sampled_from(["bolt", "nut", None]),
    stud_length_mm=maybe(mm),
    wheels=st.sampled_from([1, 2]),
    dual_wheels=st.sampled_from([False, False, True]),
    mounting=st.sampled_from(["bolted", "bolted", "centre_axle"]),
    arch_lip_mm=maybe(st.floats(60, 130)),
    strut_face_mm=maybe(st.floats(-190, -130)),
    inboard_points_mm=maybe(st.just(((354.5, -161.0), (300.0, -170.0)))),
    spigot_height_mm=maybe(mm),
    hub_thread_mm=maybe(mm),
    original_tyre=maybe(tyres),
    speedometer_reads_high_pct=maybe(st.floats(0, 12)),
    max_speed_kmh=maybe(st.floats(30, 280)),
    guard_rear_deg=st.sampled_from([None, 45.0, 60.0]),
    tolerance_mm=maybe(st.floats(0, 5)),
    brake_envelope_mm=maybe(st.lists(profile_point, min_size=1, max_size=3).map(tuple)),
    thread=st.sampled_from([None, "M14x1.5", "M12x1.5"]),
)


few = {"min_size": 1, "max_size": 3}
