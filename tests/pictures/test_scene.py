"""The picture answers to the build: to scale, and exactly the parts that change."""

import csv
import json
import math
import re
from dataclasses import replace

import pytest

from configurator.pictures import (
    FITTED,
    PARTS,
    VIEWS,
    Body,
    BodyError,
    body_lift,
    scene,
)
from configurator.pictures.geometry import bounds, points_of

from .bodies import (
    BODIES,
    FOLDER,
    FOUR_WHEELED,
    changed,
    either_axle,
    every_body,
    every_car,
    every_view,
    width,
)


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
