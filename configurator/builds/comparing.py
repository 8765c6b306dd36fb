"""Two builds side by side: only what differs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from .evaluation import Evaluation
from .resolve import vehicle_name
from .selection import POSITIONS
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


@dataclass(frozen=True)
class Difference:
    """One thing that is not the same; an empty side has nothing there."""

    what: str
    one: str
    other: str


def compare(one: Evaluation, other: Evaluation, catalogue: Catalogue) -> list[Difference]:
    """Return what differs, in the order of the page: vehicle, colours, axles, options."""
    left, right = _facts(one, catalogue), _facts(other, catalogue)
    keys = [*left, *(key for key in right if key not in left)]
    return [
        Difference(key, left.get(key, ""), right.get(key, ""))
        for key in keys
        if left.get(key, "") != right.get(key, "")
    ]


def _facts(evaluation: Evaluation, catalogue: Catalogue) -> dict[str, str]:
    selection = evaluation.selection
    generation = catalogue.generations.get(selection.generation)
    facts: dict[str, str] = {say("vehicle"): vehicle_name(generation) if generation else selection.generation}
    if evaluation.body:
        facts[say("body_colour")] = evaluation.body.name
    if evaluation.accent:
        facts[say("accent_colour")] = evaluation.accent.name
    parts: dict[str, dict[str, Any]] = {
        "wheel": catalogue.wheels,
        "tyre": catalogue.tyres,
        "spacer": catalogue.spacers,
    }
    for position in POSITIONS:
        for kind, known in parts.items():
            code = getattr(selection.axle(position), kind)
            if code:
                part = known.get(code)
                facts[say(f"{position}_{kind}s")] = str(part) if part else code
    for code in selection.options:
        option = catalogue.options.get(code)
        name = option.name if option else code
        facts[name] = evaluation.names.get(code, name)
    return facts
