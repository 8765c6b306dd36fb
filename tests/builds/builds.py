"""Builds of the demonstration catalogue that tests speak of."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings

from configurator.builds.selection import Selection

BLACK_18 = "torvik-8x18-5x112-et50-gloss-black"
SILVER_18 = "torvik-8x18-5x112-et50-silver"
VAN_TYRE_18 = "haul-225-50r18c-108-106t"
SPACER_15 = "sp-5x112-666-15"


def harbour_van() -> Selection:
    """The demonstration's first spec."""
    path = settings.BASE_DIR / "fixtures" / "specs" / "harbour-van.json"
    return Selection(**json.loads(path.read_text())["selection"])


def van(**parts: Any) -> Selection:
    """A Haldor II in quay blue with the standard bumper and whatever is given."""
    options = ("standard-bumper", *parts.pop("options", ()))
    return Selection(generation="haldor-2", body_finish="quay-blue", options=options, **parts)


def axles(**parts: str) -> dict[str, dict[str, str]]:
    """The same parts on both axles."""
    return {"front": parts, "rear": parts}
