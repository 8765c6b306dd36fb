"""Collecting what a build uses: two asks for one thing in one place become one line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from configurator.catalogue.models import Item

from .records import PieceFacts

Why = str | Callable[[], str]
"""Why a line is there; words with figures in them are made when somebody reads them: a sum needs none."""


@dataclass
class Draft:
    """A line while it is gathered; ``exact`` is the quantity before rounding to what can be mixed."""

    item: Item
    kind: str
    where: str
    why: Why
    at_cost_of: str = "customer"
    exact: Decimal = Decimal(0)
    choices: dict[str, str] = field(default_factory=dict)
    facts: PieceFacts = field(default_factory=PieceFacts)


Slot = tuple[str, ...]
"""One thing in one place at one cost, colours apart."""


def slot_of(item: Item, key: str, where: str, at_cost_of: str = "customer", **_rest: Any) -> Slot:
    """Return where a draft belongs; ``key`` keeps colours apart."""
    return (item.code, where, at_cost_of, key)


class Gathering:
    """Collects drafts; two asks for one thing in one place become one line."""

    def __init__(self) -> None:
        self.drafts: dict[Slot, Draft] = {}
        self.once: set[Slot] = set()

    def add(
        self,
        item: Item,
        quantity: Decimal | int,
        *choices: tuple[str, str],
        key: str = "",
        once: Slot = (),
        **rest: Any,
    ) -> None:
        """Add ``quantity`` of ``item`` for the choices (token, name); ``key`` keeps colours apart.

        ``once`` names what is wanted once a job, whoever asks for it.
        """
        if once:
            if once in self.once:
                return
            self.once.add(once)
        slot = slot_of(item, key, **rest)
        draft = self.drafts.setdefault(slot, Draft(item, **rest))
        draft.exact += Decimal(quantity)
        draft.choices.update(choices)
