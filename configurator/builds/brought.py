"""What comes along with a build because a rule brings it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from configurator.rules import Bring, brought

from .asking import Asking, asking
from .build import Build
from .tasks import JOB

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


@dataclass(frozen=True)
class Brought:
    """One item that a rule brings along, for which choices and at whose cost."""

    item: str
    quantity: Decimal
    choices: tuple[str, ...]
    reason: str
    at_cost_of: str


def brings(build: Build, catalogue: Catalogue) -> tuple[Brought, ...]:
    """Return what comes along with the build, and nothing else that the rules say."""
    return tuple(brought_by(build, asking(build, catalogue)))


def brought_by(build: Build, ask: Asking) -> Iterable[Brought]:
    """Yield what comes along; a rule whose condition holds in several ways brings once."""
    ways: dict[str, list[Bring]] = {}
    for bring in brought(ask.rules.brings, ask.chosen):
        ways.setdefault(bring.id, []).append(bring)
    for bring_ways in ways.values():
        first = bring_ways[0]
        asked = dict.fromkeys(text for way in bring_ways for text in way.if_all if not text.startswith("!"))
        for row in first.items:
            quantity = _counted(row, build, bring_ways) * Decimal(str(row["quantity"]))
            yield Brought(row["item"], quantity, ask.told(asked) or (JOB,), first.reason, first.at_cost_of)


def _counted(row: dict[str, Any], build: Build, ways: list[Bring]) -> int:
    """Return how many times a brought quantity is wanted."""
    if row.get("basis") == "wheel":
        return sum(axle.axle.wheels for axle in build.axles if axle.wheel or axle.tyre)
    if row.get("basis") == "choice":
        return len(ways)
    return 1
