"""The SVG is well formed, small, and safe under a policy that forbids styles and scripts."""

import re
from dataclasses import replace
from io import BytesIO

import pytest
from lxml import etree
from PIL import Image

from configurator.colour import hex_to_lab
from configurator.pictures import (
    DESIGNS,
    VIEWS,
    Look,
    scene,
    share_card,
    sheet,
    to_image,
    to_png,
    to_svg,
    wheels,
)
from configurator.pictures.geometry import bounds
from configurator.pictures.svg import number

from .bodies import BODIES, full_look

VIEWED = [(code, view) for code in BODIES for view in VIEWS]
SVG = "{http://www.w3.org/2000/svg}"
ALLOWED = {"svg", "title", "desc", "defs", "linearGradient", "stop", "clipPath", "path", "g"}


def written(code, view, full=True, **options):
    body = BODIES[code]
    look = full_look(body) if full else body.original_look()
    return to_svg(scene(body, look, view), "Title", "Description", **options)


@pytest.mark.parametrize(("code", "view"), VIEWED)
def test_elements_and_attributes_are_safe_and_references_resolve(code, view):
    text = written(code, view, prefix="v1")
    root = etree.fromstring(text.encode())
    names = {etree.QName(element).localname for element in root.iter()}
    assert names <= ALLOWED
    attributes = {name for element in root.iter() for name in element.attrib}
    assert not {name for name in attributes if name == "style" or name.startswith("on") or "href" in name}
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert all(name.startswith("v1-") for name in ids)
    assert set(re.findall(r"url\(#([^)]+)\)", text)) <= set(ids)
    assert not re.search(r"nan|inf|e[+-]\d", " ".join(e.get("d", "") for e in root.iter()))


@pytest.mark.parametrize(("code", "view"), VIEWED)
def test_pictures_are_small(code, view):
    assert len(written(code, view, full=False)) < 36_500
    assert len(written(code, view)) < 40_000


def test_screen_readers_get_title_and_description():
    root = etree.fromstring(
        to_svg(scene(*looked(), "side"), "Blue <van> & wheels", 'It\'s "low"', prefix="a").encode()
    )
    assert root.get("role") == "img"
    named = {element.get("id"): element.text for element in root.iter() if element.get("id")}
    texts = [named[name] for name in root.get("aria-labelledby").split()]
    assert texts == ["Blue <van> & wheels", 'It\'s "low"']


def looked(code="haldor-2"):
    return BODIES[code], BODIES[code].original_look()


def test_two_pictures_on_one_page_share_no_id():
    def ids(prefix):
        return set(re.findall(r' id="([^"]+)"', written("haldor-2", "side", prefix=prefix)))

    assert not ids("one") & ids("two")


@pytest.mark.parametrize("prefix", ["", "1a", 'a"b', "a b", "ä", "a\n"])
def test_a_prefix_that_cannot_begin_an_id_is_refused(prefix):
    with pytest.raises(ValueError, match="cannot begin an id"):
        written("haldor-2", "side", prefix=prefix)


@pytest.mark.parametrize(("code", "view"), VIEWED)
def test_the_frame_is_the_view_box_and_does_not_move_with_the_look(code, view):
    boxes = {re.search(r'viewBox="([^"]+)"', written(code, view, full)).group(1) for full in (True, False)}
    left, top, width, height = map(float, boxes.pop().split())
    assert not boxes
    frame = scene(BODIES[code], full_look(BODIES[code]), view).frame
    assert (left, top, width, height) == (frame[0], 0, frame[2] - frame[0], frame[3] - frame[1])


@pytest.mark.parametrize(("code", "view"), VIEWED)
def test_everything_drawn_lies_inside_the_frame(code, view):
    picture = scene(BODIES[code], full_look(BODIES[code]), view)
    for shape in picture.shapes:
        left, bottom, right, top = bounds(shape.path)
        assert left >= picture.frame[0], shape.part
        assert bottom >= picture.frame[1], shape.part
        assert right <= picture.frame[2], shape.part
        assert top <= picture.frame[3], shape.part


@pytest.mark.parametrize(
    ("value", "text"), [(0, "0"), (-0.01, "0"), (1.04, "1"), (1.06, "1.1"), (-12.0, "-12"), (1e4, "10000")]
)
def test_numbers_are_short(value, text):
    assert number(value) == text


@pytest.mark.parametrize("name", DESIGNS)
@pytest.mark.parametrize("diameter", [14, 17, 22])
def test_every_wheel_design_keeps_inside_its_rim_and_reaches_from_hub_to_rim(name, diameter):
    radius = diameter * 25.4 / 2
    made = wheels.spokes(DESIGNS[name], radius, 0, 0)
    box = bounds(made)
    assert max(map(abs, box)) <= radius * 1.03
    assert max(map(abs, box)) >= radius * 0.9
    assert DESIGNS[name].hub < 0.5


@pytest.mark.long
@pytest.mark.parametrize("colour", ["#0b0b0d", "#1d1e20", "#f3f3ef"])
def test_a_wheel_stands_out_from_its_tyre(colour):
    """The flange's lit edge against the wall beside it, in L* (ISO/CIE 11664-4); 10 is seen at a glance."""
    body = BODIES["merle-2"]
    look = body.original_look()
    front = replace(look.front, wheel_hex=colour)
    picture = scene(body, replace(look, front=front), "side")
    image = to_image(picture, 2400).convert("RGB")
    scale = 2400 / picture.width_mm
    hub = front.tyre_overall_diameter_mm / 2

    def lightness(above_hub):
        x, y = body.axles.front.x_mm - picture.frame[0], picture.frame[3] - hub - above_hub
        red, green, blue = image.getpixel((round(x * scale), round(y * scale)))
        return hex_to_lab(f"#{red:02x}{green:02x}{blue:02x}")[0]

    flange = front.wheel_diameter_in * 25.4 / 2 + 17.5
    assert lightness(flange - 3) - lightness(flange + 14) > 10


def opened(data):
    image = Image.open(BytesIO(data))
    image.load()
    return image


def test_png_has_the_asked_width_and_ground():
    picture = scene(*looked(), "side")
    image = opened(to_png(picture, 640, background="#123456"))
    assert (image.format, image.width, image.mode) == ("PNG", 640, "RGB")
    assert image.height == pytest.approx(640 * picture.height_mm / picture.width_mm, abs=1)
    assert image.getpixel((2, 2)) == (0x12, 0x34, 0x56)
    assert opened(to_png(picture, 320, background=None)).getpixel((2, 2))[3] == 0


@pytest.mark.parametrize("width", [0, -5, 8001])
def test_a_width_out_of_bounds_is_refused(width):
    with pytest.raises(ValueError, match="1 to 8000"):
        to_image(scene(*looked(), "side"), width)


@pytest.mark.long
def test_a_sheet_keeps_one_scale_and_one_ground():
    scenes = [scene(*looked(), view) for view in VIEWS]
    image = opened(sheet(scenes, 1500))
    assert image.width == 1500
    scale = (1500 - 48) / sum(s.width_mm for s in scenes)
    assert image.height == pytest.approx(max(s.height_mm for s in scenes) * scale, abs=2)


def test_vehicles_of_different_height_stand_on_one_ground_on_a_sheet():
    tall, low = (
        scene(BODIES[code], BODIES[code].original_look(), "front") for code in ("haldor-2", "vireo-4")
    )
    image = opened(sheet([tall, low], 900, background="#123456"))
    left = image.width - round(900 * low.width_mm / (tall.width_mm + low.width_mm)) + 40
    column = [image.getpixel((x, y)) for x in range(left, image.width) for y in range(40)]
    assert set(column) == {(0x12, 0x34, 0x56)}


@pytest.mark.long
def test_a_share_card_has_its_size_and_takes_any_text():
    scenes = [scene(*looked(), view) for view in VIEWS]
    plain = share_card(scenes, "Haldor II", ["18 inch, 15 mm spacers"], footer="Example workshop")
    assert opened(plain).size == (1200, 630)
    wild = share_card(scenes, "Größe ‘XXL’ " * 30, ["ä" * 500, "\n\t", "", "€ ² ×", "5", "6", "7"])
    assert opened(wild).size == (1200, 630)
    assert opened(share_card([], "", [])).size == (1200, 630)


def test_card_text_shows_and_umlauts_are_drawn():
    empty = share_card([], "", [])
    assert share_card([], "ä", []) != share_card([], "ö", []) != empty


def test_an_unknown_design_still_draws_a_wheel():
    body, look = looked()
    front = look.front.__class__(18, 8, "no-such-design", "#222222", 245, 680)
    assert scene(body, Look("#ffffff", front, look.rear), "side").of("wheel_front")
