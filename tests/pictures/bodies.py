"""The bodies that come with the project, and looks that show much of them at once."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from configurator.pictures import FITTED, VIEWS, Body

FOLDER = Path(__file__).parents[2] / "fixtures" / "catalogue" / "bodies"
BODIES = {
    path.stem: Body.from_dict(json.loads(path.read_text("utf-8"))) for path in sorted(FOLDER.glob("*.json"))
}
FOUR_WHEELED = {code: body for code, body in BODIES.items() if body.axles.front.wheels == 2}


def full_look(body, body_hex="#1d4f8f"):
    """Return a look with everything fitted, larger wheels, spacers, a lower ride and accents."""
    look = body.original_look(body_hex)
    more = 25 if body.axles.front.wheels == 2 else 0

    def dressed(axle):
        return replace(
            axle,
            wheel_design="split-five" if more else "cast-three",
            wheel_hex="#2a2c2f",
            wheel_diameter_in=axle.wheel_diameter_in + (2 if more else 0),
            tyre_section_width_mm=axle.tyre_section_width_mm + more,
            outer_face_mm=axle.face_mm + more,
            caliper_hex="#d0241f",
        )

    return replace(
        look,
        front=dressed(look.front),
        rear=dressed(look.rear),
        accent_hex="#d0241f",
        part_hex=dict.fromkeys(("mirror_caps", "grille_frame", "splitter", "badge_front"), "accent"),
        fitted=frozenset(body.parts & set(FITTED)),
        ride_drop_mm=30.0 if more else 0.0,
    )


every_body = pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
every_car = pytest.mark.parametrize("body", FOUR_WHEELED.values(), ids=FOUR_WHEELED)
every_view = pytest.mark.parametrize("view", VIEWS)
either_axle = pytest.mark.parametrize("position", ["front", "rear"])


def changed(look, position, **changes):
    """Return the look with one axle changed."""
    return replace(look, **{position: replace(look.axle(position), **changes)})


def width(box):
    return box[2] - box[0]
