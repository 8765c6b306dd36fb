"""What choices bring along: hardware, work or gifts that follow from a build without being chosen."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from .model import bare


@dataclass(frozen=True)
class Bring:
    """When every literal of `if_all` holds for the choices, `items` come along.

    Items are opaque to the engine. `at_cost_of` says who pays,
    "customer" or "workshop"; `reason` is what the customer reads.
    """

    id: str
    if_all: tuple[str, ...]
    items: tuple[Any, ...]
    reason: str = ""
    at_cost_of: str = "customer"


def holds(literal: str, chosen: Collection[str]) -> bool:
    """Return whether a literal holds for these choices; an option not among them is absent."""
    return (bare(literal) in chosen) != literal.startswith("!")


def brought(brings: Iterable[Bring], chosen: Iterable[str]) -> tuple[Bring, ...]:
    """Return those whose condition holds for `chosen`, in the order given."""
    present = frozenset(chosen)
    return tuple(bring for bring in brings if all(holds(literal, present) for literal in bring.if_all))
