"""Remembered outlines never show through: a picture depends on body and look alone."""

import json
import random
from dataclasses import replace

import pytest

from configurator.pictures import VIEWS, Body, scene, to_svg

from .bodies import FOLDER, full_look


def fresh():
    return Body.from_dict(json.loads((FOLDER / "vireo-4.json").read_text("utf-8")))


def looks(body):
    """Return looks that differ in ride, tyres and parts, more than are remembered."""
    base = full_look(body)
    for drop in range(0, 60, 5):
        yield replace(base, ride_drop_mm=float(drop))
        front = replace(base.front, tyre_overall_diameter_mm=600.0 + drop)
        yield replace(base, front=front, fitted=frozenset())


@pytest.mark.parametrize("most", [4, pytest.param(None, marks=pytest.mark.long)])
def test_a_used_body_draws_as_a_fresh_one(most):
    used = fresh()
    several = list(looks(used))
    random.Random(4).shuffle(several)
    several = several[:most]
    for look in several + several[:5]:
        for view in VIEWS:
            picture = scene(used, look, view)
            assert picture == scene(fresh(), look, view)
            assert to_svg(picture, "a", "b") == to_svg(scene(fresh(), look, view), "a", "b")


def test_bodies_that_were_drawn_are_still_equal():
    used = fresh()
    scene(used, full_look(used), "side")
    assert used.model_dump() == fresh().model_dump()
