"""A body begun from another one: exactly the measures asked for, and the same drawing where none changed."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.pictures import (
    VIEWS,
    Body,
    BodyError,
    Measures,
    derive,
    measures_of,
    nearest,
    scene,
    to_svg,
)
from configurator.pictures.geometry import bounds

from .bodies import BODIES, FOUR_WHEELED, every_body, every_car, full_look


def changed(body, **changes):
    """Return a body's own measures with some changed; ``front`` and ``rear`` take dicts."""
    data = measures_of(body).model_dump()
    for name, value in changes.items():
        data[name] = data[name] | value if isinstance(value, dict) else value
    return Measures.from_dict(data)


def problems(body, **changes):
    with pytest.raises(BodyError) as caught:
        derive(body, changed(body, **changes))
    return dict(caught.value.problems)


@every_body
def test_its_own_measures_give_the_same_drawing(body):
    again = derive(body, measures_of(body))
    for view in VIEWS:
        look = full_look(body)
        assert to_svg(scene(again, look, view), "a", "b") == to_svg(scene(body, look, view), "a", "b")


@every_car
def test_measures_are_met_exactly_and_openings_stay_round(body):
    asked = changed(
        body,
        code="new-1",
        name="New one",
        length_mm=body.length_mm + 310,
        wheelbase_mm=body.wheelbase_mm + 250,
        height_mm=body.height_mm + 60,
        width_mm=body.width_mm + 40,
        front={"arch_radius_mm": 390.0, "hub_face_mm": body.axles.front.hub_face_mm + 20},
        rear={"arch_radius_mm": 395.0, "hub_face_mm": body.axles.rear.hub_face_mm + 20},
    )
    made = derive(body, asked)
    assert measures_of(made) == asked
    assert (made.code, made.name) == ("new-1", "New one")
    picture = scene(made, made.original_look(), "side")
    before = scene(body, body.original_look(), "side")
    outline, old = picture.bounds("body"), before.bounds("body")
    assert outline[2] - outline[0] == pytest.approx(old[2] - old[0] + 310, abs=1)
    assert outline[3] == pytest.approx(old[3] + 60, abs=1)
    well = picture.bounds("well_front")
    assert (well[2] - well[0]) / 2 == pytest.approx(390, rel=0.01)
    assert (well[0] + well[2]) / 2 == pytest.approx(body.axles.front.x_mm, abs=2)


@every_car
def test_a_longer_wheelbase_lengthens_what_lies_between_the_axles_only(body):
    made = derive(body, changed(body, wheelbase_mm=body.wheelbase_mm + 300, length_mm=body.length_mm + 300))
    for old, new in zip(body.views.side, made.views.side, strict=True):
        for (x, z, *_), (new_x, new_z, *_) in zip(old.pts or [], new.pts or [], strict=True):
            assert new_z == pytest.approx(z, abs=0.001)
            if x < body.axles.front.x_mm:
                assert new_x == pytest.approx(x, abs=0.001)
            if x > body.axles.rear.x_mm:
                assert new_x == pytest.approx(x + 300, abs=0.001)


@every_car
def test_windows_go_where_they_are_measured(body):
    own = measures_of(body)
    made = derive(
        body,
        changed(
            body,
            window_sill_mm=own.window_sill_mm + 50,
            window_top_mm=own.window_top_mm + 30,
            height_mm=own.height_mm + 30,
        ),
    )
    panes = [s for s in made.views.side if (s.fill or "").startswith("glass") and s.pts and s.part == "body"]
    heights = [p[1] for s in panes for p in s.pts if max(q[1] for q in s.pts) > made.height_mm * 0.7]
    assert min(heights) == pytest.approx(own.window_sill_mm + 50)
    assert max(heights) == pytest.approx(own.window_top_mm + 30)


@every_car
def test_width_moves_mirrors_along_without_widening_them(body):
    hubs = {p: {"hub_face_mm": body.axle(p).hub_face_mm + 40} for p in ("front", "rear")}
    made = derive(body, changed(body, width_mm=body.width_mm + 80, **hubs))
    old, new = (bounds(scene(b, b.original_look(), "front").of("mirror_caps")[0].path) for b in (body, made))
    assert new[2] - old[2] == pytest.approx(40)
    # Its root lies over the door, which is stretched, hence the little that is left.
    assert new[2] - new[0] == pytest.approx(old[2] - old[0], abs=4)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"wheelbase_mm": 700.0}, "wheelbase_mm"),
        ({"length_mm": 4000.0}, "length_mm"),
        ({"front_overhang_mm": 350.0}, "front_overhang_mm"),
        ({"window_sill_mm": 1800.0}, "window_top_mm"),
        ({"height_mm": 1820.0}, "height_mm"),
        ({"width_mm": 700.0}, "width_mm"),
        ({"window_top_mm": None}, "window_top_mm"),
        ({"width_mm": 1820.0}, "rear.hub_face_mm"),
        ({"front": {"arch_radius_mm": None}}, "front.arch_radius_mm"),
    ],
)
def test_what_cannot_be_is_refused_at_its_measure(changes, field):
    found = problems(BODIES["haldor-2"], **changes)
    assert field in found
    assert found[field].endswith(".")


def test_a_motorcycle_has_no_windows_to_move():
    assert set(problems(BODIES["whinchat-680"], window_sill_mm=700.0, window_top_mm=900.0)) == {
        "window_sill_mm",
        "window_top_mm",
    }


@pytest.mark.parametrize("wrong", [{"length_mm": -4.0}, {"height_mm": "tall"}, {"code": ""}, {"doors": 5}])
def test_bad_measures_are_refused_by_field(wrong):
    data = measures_of(BODIES["haldor-2"]).model_dump() | wrong
    with pytest.raises(BodyError) as caught:
        Measures.from_dict(data)
    assert {place for place, _ in caught.value.problems} == set(wrong)


def test_the_first_body_is_left_alone():
    body = BODIES["vireo-4"]
    before = body.model_dump()
    derive(body, changed(body, length_mm=body.length_mm + 200, height_mm=body.height_mm + 40))
    assert body.model_dump() == before


@every_body
def test_a_body_is_nearest_to_itself_and_a_motorcycle_to_no_car(body):
    assert nearest(BODIES.values(), measures_of(body)) is body
    others = [one for one in BODIES.values() if one is not body]
    assert (nearest(others, measures_of(body)).axles.front.wheels == 2) or body.axles.front.wheels == 1


def test_what_has_wheel_openings_is_not_begun_from_a_motorcycle():
    car = BODIES["vireo-4"]
    short = changed(car, length_mm=2200.0, width_mm=900.0, wheelbase_mm=1450.0, height_mm=1140.0)
    assert nearest(BODIES.values(), short).axles.front.arch is not None


def test_nothing_is_nearest_where_there_is_nothing():
    with pytest.raises(ValueError, match="no body to begin from"):
        nearest([], measures_of(BODIES["haldor-2"]))


shares = st.floats(0.9, 1.12)


@pytest.mark.long
@given(st.sampled_from(list(BODIES.values())), shares, shares, shares)
@settings(max_examples=25, deadline=None)
def test_any_measures_near_by_draw_a_whole_body(body, longer, wider, taller):
    gain = body.width_mm * (wider - 1) / 2 if body.axles.front.wheels == 2 else 0
    hubs = {p: {"hub_face_mm": body.axle(p).hub_face_mm + gain} for p in ("front", "rear")}
    asked = changed(
        body,
        length_mm=body.length_mm * longer,
        wheelbase_mm=body.wheelbase_mm * longer,
        front_overhang_mm=body.axles.front.x_mm * longer,
        width_mm=body.width_mm * wider,
        **hubs,
        height_mm=body.height_mm * taller,
        **(
            {
                "window_sill_mm": measures_of(body).window_sill_mm * taller,
                "window_top_mm": measures_of(body).window_top_mm * taller,
            }
            if body in FOUR_WHEELED.values()
            else {}
        ),
    )
    try:
        made = derive(body, asked)
    except BodyError:  # the test above tells what it says
        return
    assert Body.from_dict(made.model_dump(by_alias=True, exclude_unset=True)) == made
    for view in VIEWS:
        picture = scene(made, full_look(made), view)
        for shape in picture.shapes:
            assert all(math.isfinite(n) for segment in shape.path for n in segment[1:])
            left, _, right, _ = bounds(shape.path)
            assert left >= picture.frame[0] - 30
            assert right <= picture.frame[2] + 30
