"""The picture answers to the build: to scale, and exactly the parts that change."""

import csv
import json
import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.pictures import (
    DESIGNS,
    FITTED,
    PARTS,
    VIEWS,
    AxleLook,
    Body,
    BodyError,
    Look,
    body_lift,
    scene,
)
from configurator.pictures.geometry import bounds, points_of

from .bodies import BODIES, FOLDER, FOUR_WHEELED

every_body = pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
every_car = pytest.mark.parametrize("body", FOUR_WHEELED.values(), ids=FOUR_WHEELED)
every_view = pytest.mark.parametrize("view", VIEWS)
either_axle = pytest.mark.parametrize("position", ["front", "rear"])


def changed(look, position, **changes):
    """Return the look with one axle changed."""
    return replace(look, **{position: replace(look.axle(position), **changes)})


def width(box):
    return box[2] - box[0]


def body_shapes(picture):
    """Return the shapes that are neither wheels, tyres, brakes nor shadow."""
    own = ("tyre_", "disc_", "well_", "wheel_", "caliper_", "shadow")
    return [shape for shape in picture.shapes if not shape.part.startswith(own)]


@every_body
def test_the_file_is_named_after_its_code(body):
    assert BODIES[body.code] is body


@every_car
def test_a_body_is_to_its_own_measure(body):
    box = scene(body, body.original_look(), "side").bounds("body")
    assert width(box) == pytest.approx(body.length_mm, rel=0.02)
    assert box[3] == pytest.approx(body.height_mm, rel=0.04)
    for view in ("front", "rear"):
        # Mirrors and their arms hang higher than the outline's lower edge.
        boxes = [bounds(shape.path) for shape in scene(body, body.original_look(), view).of("body")]
        half = max(box[2] for box in boxes if box[1] < 700)
        lip = body.axle(view).hub_face_mm + body.axle(view).arch.lip_mm
        assert half == pytest.approx(lip, abs=20)


@every_body
@either_axle
def test_the_drawing_agrees_with_the_catalogues_axle(body, position):
    """The same tyre must sit as far inside the arch in the picture as in the fitment's numbers."""
    with (FOLDER.parent / "axles.csv").open(encoding="utf-8") as file:
        rows = {(row["generation"], row["position"]): row for row in csv.DictReader(file)}
    row, drawn = rows[body.code, position], body.axle(position)
    assert drawn.wheels == int(row["wheels"])
    assert drawn.original.wheel_diameter_in == float(row["original_wheel_diameter_in"])
    assert drawn.original.wheel_width_in == float(row["original_wheel_width_in"])
    offset = float(row["original_wheel_offset_mm"])
    assert drawn.original.effective_offset_mm == offset
    if drawn.arch:
        assert drawn.bolt_count == int(row["bolt_count"])
        assert drawn.hub_face_mm == pytest.approx(float(row["original_track_mm"]) / 2 + offset, abs=1)
        assert drawn.arch.lip_mm == float(row["arch_lip_mm"])
        assert drawn.arch.radius_mm == pytest.approx(float(row["arch_diameter_mm"]) / 2, abs=3)
    size = re.match(r"(\d+)/(\d+)Z?R(\d+)", row["original_tyre"])
    # UN R30 6.1: nominal rim diameter and twice the height of the section, to whole millimetres.
    height = int(int(size[1]) * int(size[2]) / 100 + 0.5)
    diameter = round(25.4 * int(size[3])) + 2 * height
    assert drawn.original.tyre_overall_diameter_mm == pytest.approx(diameter, abs=2)


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


@every_body
@every_view
def test_a_ride_drop_lowers_all_of_the_body_and_no_wheel(body, view):
    look = body.original_look()
    before, after = scene(body, look, view), scene(body, replace(look, ride_drop_mm=30), view)
    fallen = {
        round(bounds(a.path)[1] - bounds(b.path)[1], 6)
        for a, b in zip(before.shapes, after.shapes, strict=True)
    }
    assert fallen <= {0, 30}
    assert after.bounds("body")[3] == pytest.approx(before.bounds("body")[3] - 30)
    tyre = f"tyre_{'front' if view == 'side' else view}"
    assert after.bounds(tyre) == before.bounds(tyre)


@every_body
def test_larger_tyres_lift_the_body_by_half_their_gain_and_tilt_it(body):
    look = body.original_look()
    rear = changed(look, "rear", tyre_overall_diameter_mm=look.rear.tyre_overall_diameter_mm + 40)
    lift = body_lift(body, rear)
    assert lift(body.axles.front.x_mm) == pytest.approx(0)
    assert lift(body.axles.rear.x_mm) == pytest.approx(20)
    assert lift((body.axles.front.x_mm + body.axles.rear.x_mm) / 2) == pytest.approx(10)


def colours(shape):
    return shape.fill, shape.stroke


@every_body
def test_a_part_colour_recolours_exactly_that_part(body):
    look = body.original_look()
    for part in sorted(body.parts - {"body"}):
        plain = replace(look, fitted=frozenset({part}))
        accent = replace(plain, accent_hex="#d01c7a", part_hex={part: "accent"})
        seen = False
        for view in VIEWS:
            pairs = zip(scene(body, plain, view).shapes, scene(body, accent, view).shapes, strict=True)
            different = {a.part for a, b in pairs if colours(a) != colours(b)}
            # A cap that has no colour of its own has its wheel's.
            assert different <= ({part, "wheel_caps"} if part.startswith("wheel_") else {part})
            seen = seen or part in different
        assert seen, part


@every_body
@every_view
def test_the_accent_alone_changes_nothing(body, view):
    look = body.original_look()
    assert scene(body, look, view) == scene(body, replace(look, accent_hex="#ff00aa"), view)


@every_body
def test_removed_parts_vanish_and_nothing_else_changes(body):
    look = body.original_look()
    whole = {view: scene(body, look, view) for view in VIEWS}
    for part in ("badge_front", "badge_rear", "lettering_rear", "lettering_side", "mouldings", "aerial"):
        if part not in body.parts:
            continue
        gone = {view: scene(body, replace(look, removed=frozenset({part})), view) for view in VIEWS}
        assert any(whole[view].of(part) for view in VIEWS)
        # The maker's lettering is taken off as one: what stands on the side goes with the rear's.
        away = {part, "lettering_side"} if part == "lettering_rear" else {part}
        for view in VIEWS:
            assert gone[view].shapes == tuple(s for s in whole[view].shapes if s.part not in away)


@every_body
def test_fitted_parts_appear_only_when_fitted(body):
    look = body.original_look()
    whole = {view: scene(body, look, view) for view in VIEWS}
    for part in sorted(body.parts & set(FITTED)):
        with_it = {view: scene(body, replace(look, fitted=frozenset({part})), view) for view in VIEWS}
        assert any(len(with_it[view].of(part)) > len(whole[view].of(part)) for view in VIEWS), part


@every_car
def test_mirrors_hang_on_arms_that_reach_the_body(body):
    """In front and rear view something dark joins each mirror to the body's outline, on both sides."""
    for view in ("front", "rear"):
        picture = scene(body, body.original_look(), view)
        mirror = bounds(picture.of("mirror_caps")[0].path)
        inside = min(abs(mirror[0]), abs(mirror[2]))
        shell = max((bounds(s.path) for s in picture.of("body") if s.stroke and s.fill), key=width)
        arms = [
            box
            for box in (bounds(s.path) for s in picture.of("body"))
            if box[0] > 0 and box[2] > inside and box[0] < shell[2] and mirror[1] - 60 < box[1] < mirror[3]
        ]
        assert arms, view


@pytest.mark.parametrize(
    "body",
    [body for body in FOUR_WHEELED.values() if "bumper_sport" in body.parts],
    ids=lambda body: body.code,
)
def test_the_sport_bumper_is_deeper_and_takes_the_standard_ones_lamps_away(body):
    look = body.original_look()
    sport = replace(look, fitted=frozenset({"bumper_sport"}))
    assert (
        scene(body, sport, "front").bounds("bumper_sport")[1]
        < scene(body, look, "front").bounds("lower_trim")[1]
    )
    for view in ("side", "front"):
        before, after = scene(body, look, view), scene(body, sport, view)
        assert after.bounds("bumper_sport")[2] > 0
        assert len(after.shapes) > len(before.shapes) - 3
    side = scene(body, sport, "side")
    assert side.bounds("bumper_sport")[2] < body.axles.front.x_mm
    assert all(bounds(s.path)[0] > body.axles.front.x_mm for s in side.of("lower_trim"))


def test_the_motorcycles_plate_hangs_on_its_holder():
    picture = scene(BODIES["whinchat-680"], BODIES["whinchat-680"].original_look(), "side")
    holder, plate, *_ = [list(points_of(s.path)) for s in picture.of("plate_holder")]
    assert min(math.dist(a, b) for a in holder for b in plate) < 20


@every_body
def test_every_body_can_be_badged_and_has_panels_to_add(body):
    assert body.parts <= PARTS
    assert {"body", "badge_front", "lettering_rear"} <= body.parts or body.axles.front.wheels == 1
    assert len(body.parts & set(FITTED)) >= 6


@every_car
def test_wheels_keep_behind_the_fender(body):
    look = replace(body.original_look(), ride_drop_mm=60)
    for shape in scene(body, look, "side").of("tyre_front"):
        assert shape.clip is not None
        arch = body.axles.front.arch
        assert bounds(shape.clip)[3] == pytest.approx(arch.centre_z_mm + arch.radius_mm - 60, abs=1)


@every_body
def test_body_colour_reaches_the_body_and_leaves_glass_lamps_and_tyres(body):
    silver, blue = body.original_look("#c4c9cc"), body.original_look("#1f4fa3")
    for view in VIEWS:
        a, b = scene(body, silver, view), scene(body, blue, view)
        pairs = zip(body_shapes(a), body_shapes(b), strict=True)
        assert any(colours(x) != colours(y) for x, y in pairs)
        for position in ("front", "rear"):
            for part in (f"tyre_{position}", f"wheel_{position}", f"caliper_{position}"):
                assert a.of(part) == b.of(part)


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


def test_an_unknown_view_is_refused():
    body = next(iter(BODIES.values()))
    with pytest.raises(ValueError, match="no view 'top'"):
        scene(body, body.original_look(), "top")


def test_a_bad_description_names_every_place():
    data = json.loads((FOLDER / "haldor-2.json").read_text("utf-8"))
    data["views"]["side"][1]["fill"] = "mauve+3"
    data["views"]["front"][2]["part"] = "flux_capacitor"
    data["views"]["rear"][3]["pts"] = [[0, 0], [1]]
    data["axles"]["front"]["original"]["wheel_design"] = "square"
    with pytest.raises(BodyError) as caught:
        Body.from_dict(data)
    places = [place for place, _ in caught.value.problems]
    assert places == [
        "axles.front.original.wheel_design",
        "views.side.1.fill",
        "views.front.2.part",
        "views.rear.3.pts.1",
    ]


@pytest.mark.parametrize("data", [None, [], "x", 3, {}, {"code": 1}, {"views": {"side": None}}])
def test_what_is_no_body_at_all_is_refused(data):
    with pytest.raises(BodyError):
        Body.from_dict(data)
