"""Wheels, tyres and brakes answer to the look's numbers: to scale, in their place, with depth."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.pictures import (
    DESIGNS,
    FITTED,
    VIEWS,
    AxleLook,
    Look,
    scene,
)
from configurator.pictures.geometry import bounds, points_of

from .bodies import BODIES, changed, either_axle, every_body, every_car, width


@every_body
@either_axle
def test_tyre_and_rim_are_to_scale_and_stand_on_the_ground(body, position):
    look = changed(body.original_look(), position, wheel_diameter_in=18, tyre_overall_diameter_mm=700)
    picture = scene(body, look, "side")
    tyre = picture.bounds(f"tyre_{position}")
    assert (width(tyre), tyre[1], tyre[3]) == pytest.approx((700, 0, 700))
    assert (tyre[0] + tyre[2]) / 2 == pytest.approx(body.axle(position).x_mm)
    # Over the flanges, which stand 17.5 mm proud of the nominal 18 inches on each side.
    assert width(picture.bounds(f"wheel_{position}")) == pytest.approx(18 * 25.4 + 35)


@every_body
@either_axle
def test_a_tyres_outer_face_is_where_the_fitment_puts_it(body, position):
    look = changed(body.original_look(), position, tyre_section_width_mm=235, outer_face_mm=80.0)
    box = scene(body, look, position).bounds(f"tyre_{position}")
    assert box[2] == pytest.approx(body.axle(position).hub_face_mm + 80)
    left = -box[2] if body.axle(position).wheels == 2 else 80 - 235
    assert box[0] == pytest.approx(left)


@every_car
@either_axle
def test_a_spacer_moves_the_tyre_out_by_its_thickness_in_front_and_rear_view_only(body, position):
    look = body.original_look()
    offset = look.axle(position).effective_offset_mm
    spaced = changed(look, position, effective_offset_mm=offset - 15, spacer_mm=15)
    for view in ("front", "rear"):
        before, after = (scene(body, each, view).bounds(f"tyre_{position}") for each in (look, spaced))
        assert after[2] - before[2] == pytest.approx(15)
        assert before[0] - after[0] == pytest.approx(15)
    assert scene(body, look, "side") == scene(body, spaced, "side")


def spokes_reach(body, look, position):
    """Return how far the spokes reach from the hub: the first metal that is no whole circle."""
    metal = next(
        s for s in scene(body, look, "side").of(f"wheel_{position}") if s.fill and s.path[0][0] == "M"
    )
    return width(bounds(metal.path)) / 2


@every_car
@either_axle
def test_a_wheels_dish_follows_its_offset_and_width(body, position):
    """The less offset, the deeper the hub's face lies behind the rim: the spokes begin further inside."""
    shallow = changed(body.original_look(), position, wheel_design="mesh", wheel_width_in=8.0)
    offsets = [
        spokes_reach(body, changed(shallow, position, effective_offset_mm=mm), position) for mm in (55, 35, 5)
    ]
    assert offsets[0] > offsets[1] + 4 > offsets[2] + 8
    wider = changed(shallow, position, wheel_width_in=10.0)
    assert spokes_reach(body, wider, position) < spokes_reach(body, shallow, position) - 4


@every_car
def test_a_deep_dish_lies_in_shade(body):
    """Dark discs over the spokes: none on a flat wheel, darker the deeper the dish."""

    def shade(offset_mm):
        look = changed(body.original_look(), "front", wheel_width_in=8.0, effective_offset_mm=offset_mm)
        over = [s for s in scene(body, look, "side").of("wheel_front") if s.fill == "#000000"]
        return sum(s.opacity for s in over)

    assert shade(100) == 0
    assert 0 < shade(50) < shade(10) < 0.5


@every_car
def test_the_farther_axles_tyres_stand_behind_the_nearer_ones(body):
    look = changed(body.original_look(), "rear", effective_offset_mm=-20.0)
    parts = [s.part for s in scene(body, look, "front").shapes if s.part.startswith("tyre_")]
    assert parts[:2] == ["tyre_rear", "tyre_rear"]
    assert set(parts[2:]) == {"tyre_front"}


@every_car
@either_axle
def test_the_disc_keeps_its_size_and_the_caliper_stays_inside_the_rim(body, position):
    small = scene(body, changed(body.original_look(), position, wheel_diameter_in=17), "side")
    large = scene(body, changed(body.original_look(), position, wheel_diameter_in=20), "side")
    assert width(small.bounds(f"disc_{position}")) == width(large.bounds(f"disc_{position}"))
    axle = body.axle(position)
    caliper = large.bounds(f"caliper_{position}")
    # Behind a front axle, before a rear one; x grows towards the rear.
    assert (caliper[0] > axle.x_mm) == (position == "front")
    hub = (axle.x_mm, body.original_look().axle(position).tyre_overall_diameter_mm / 2)
    disc = width(large.bounds(f"disc_{position}")) / 2
    reach = max(math.dist(p, hub) for s in large.of(f"caliper_{position}") for p in points_of(s.path))
    assert disc < reach < disc + 20


@every_car
@either_axle
def test_each_tyre_darkens_the_ground_where_it_stands(body, position):
    look = body.original_look()
    contacts = [bounds(s.path) for s in scene(body, look, "side").of("shadow") if s.opacity > 0.2]
    middles = {round((box[0] + box[2]) / 2) for box in contacts}
    assert middles == {round(body.axles.front.x_mm), round(body.axles.rear.x_mm)}
    spaced = changed(look, position, effective_offset_mm=look.axle(position).effective_offset_mm - 20)
    edges = [
        max(bounds(s.path)[2] for s in scene(body, each, position).of("shadow") if s.opacity > 0.2)
        for each in (look, spaced)
    ]
    assert edges[1] - edges[0] == pytest.approx(20)
    # A little wider than the tyre that stands on it, to both sides alike.
    tyre = scene(body, look, position).bounds(f"tyre_{position}")
    assert 0 < edges[0] - tyre[2] < look.axle(position).tyre_section_width_mm / 4


@every_car
def test_wheels_keep_behind_the_fender(body):
    look = replace(body.original_look(), ride_drop_mm=60)
    for shape in scene(body, look, "side").of("tyre_front"):
        assert shape.clip is not None
        arch = body.axles.front.arch
        assert bounds(shape.clip)[3] == pytest.approx(arch.centre_z_mm + arch.radius_mm - 60, abs=1)


axle_looks = st.builds(
    AxleLook,
    wheel_diameter_in=st.floats(8, 26),
    wheel_width_in=st.floats(2, 14),
    wheel_design=st.sampled_from([*DESIGNS, "unheard-of"]),
    wheel_hex=st.integers(0, 0xFFFFFF).map("#{:06x}".format),
    tyre_section_width_mm=st.floats(60, 400),
    tyre_overall_diameter_mm=st.floats(150, 1100),
    outer_face_mm=st.none() | st.floats(-200, 300),
    effective_offset_mm=st.floats(-100, 150),
)


@pytest.mark.long
@given(st.sampled_from(list(BODIES.values())), axle_looks, axle_looks, st.floats(-150, 150))
@settings(max_examples=40, deadline=None)
def test_any_numbers_draw_something_finite_with_the_tyres_in_their_place(body, front, rear, drop):
    look = Look("#808890", front, rear, ride_drop_mm=drop, fitted=frozenset(body.parts & set(FITTED)))
    for view in VIEWS:
        picture = scene(body, look, view)
        numbers = [n for shape in picture.shapes for segment in shape.path for n in segment[1:]]
        assert all(map(math.isfinite, numbers))
        assert all(min(s[3:5]) > 0 for shape in picture.shapes for s in shape.path if s[0] == "O")
    for position in ("front", "rear"):
        tall = scene(body, look, "side").bounds(f"tyre_{position}")[3]
        assert tall == pytest.approx(look.axle(position).tyre_overall_diameter_mm)


def test_outer_face_wins_over_offset_and_offset_gives_it_otherwise():
    axle = AxleLook(18, 8, "mesh", "#101214", 245, 640, effective_offset_mm=35)
    assert axle.face_mm == 245 / 2 - 35
    assert replace(axle, outer_face_mm=90.0).face_mm == 90
