"""PNG and page show the same picture, within a stated tolerance.

Between two honest rasterisers only edges differ, by how much of a pixel each thinks is covered. So the
whole picture must agree closely on average, and all but a few pixels along edges must agree nearly.
"""

import numpy as np
import pytest
from PIL import Image

from configurator.pictures import VIEWS, scene, to_image, to_svg

from .bodies import BODIES, full_look
from .reference import Raster

QUICK = ("merle-2",)
VIEWED = [(code, view) for code in BODIES for view in VIEWS]


def on_white(image):
    ground = Image.new("RGBA", image.size, "white")
    return np.asarray(Image.alpha_composite(ground, image.convert("RGBA")).convert("RGB"), int)


def differences(first, second):
    """Return the mean difference per channel and the share of pixels that differ by more than 48 of 255."""
    apart = np.abs(first - second)
    return apart.mean(), (apart.max(axis=2) > 48).mean()


@pytest.mark.parametrize(
    "code", [code if code in QUICK else pytest.param(code, marks=pytest.mark.long) for code in BODIES]
)
def test_png_agrees_with_pillows_polygons(code):
    """Mean within 2.0 of 255; at most 1.5 % of the pixels, all on edges, further than 48 apart."""
    view = VIEWS[list(BODIES).index(code) % 3]
    picture = scene(BODIES[code], full_look(BODIES[code]), view)
    width = 560 if view == "side" else 360
    ours = on_white(to_image(picture, width))
    other = np.asarray(Raster(picture, width).image(), int)
    mean, far = differences(ours, other[: ours.shape[0], : ours.shape[1]])
    print(f"{code} {view}: mean {mean:.2f}, far {far:.2%}")
    assert mean < 2.0
    assert far < 0.015


def test_the_measure_tells_a_missing_part_from_a_soft_edge():
    body = BODIES["haldor-2"]
    with_all, without = (
        scene(body, look, "front") for look in (full_look(body), body.original_look("#1d4f8f"))
    )
    mean, far = differences(on_white(to_image(with_all, 420)), on_white(to_image(without, 420)))
    assert mean > 2.0
    assert far > 0.015


@pytest.fixture(scope="module")
def page(chromium):
    """Return a page of Debian's chromium."""
    context = chromium.new_context(viewport={"width": 1200, "height": 1000})
    yield context.new_page()
    context.close()


@pytest.mark.browser
@pytest.mark.parametrize(("code", "view"), VIEWED)
def test_png_agrees_with_the_browser(code, view, page, tmp_path):
    """Mean within 0.8 of 255; at most 0.1 % of the pixels further than 48 apart."""
    picture = scene(BODIES[code], full_look(BODIES[code]), view)
    width = 900
    svg = to_svg(picture, "title", "description", prefix="x", width_px=width)
    page.set_content(f"<!doctype html><body style='margin:0;background:#fff'>{svg}")
    ours = on_white(to_image(picture, width))
    shot = tmp_path / "shot.png"
    page.locator("svg").screenshot(path=shot)
    browser = np.asarray(Image.open(shot).convert("RGB"), int)
    height = min(len(ours), len(browser))
    mean, far = differences(ours[:height], browser[:height, :width])
    print(f"{code} {view}: mean {mean:.2f}, far {far:.2%}")
    assert abs(len(ours) - len(browser)) <= 1
    assert mean < 0.8
    assert far < 0.001
