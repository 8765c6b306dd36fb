"""Which view of the picture shows what was just changed."""

from __future__ import annotations

from configurator.builds.selection import Selection
from configurator.catalogue.snapshot import Catalogue
from configurator.pictures.vocabulary import VIEWS

AT_FRONT = ("badge_front", "grille", "splitter", "tow_eye", "front_bumper", "lamp", "fly_screen")
AT_REAR = ("badge_rear", "lettering_rear", "rear_", "tailgate", "roof_spoiler", "mud_flaps", "seat_cowl")


def turn(before: Selection, after: Selection, catalogue: Catalogue) -> str:
    """Return the view of the picture that shows what was just changed: side unless it is at one end."""
    if before == after:
        return ""
    changed = (catalogue.options.get(code) for code in set(before.options) ^ set(after.options))
    parts = [option.picture_part for option in changed if option and option.picture_part]
    for view, names in (("front", AT_FRONT), ("rear", AT_REAR)):
        if parts and all(part.replace("-", "_").startswith(names) for part in parts):
            return view
    return VIEWS[0]
