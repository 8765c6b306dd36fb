"""Sentences with places for figures, worded in English here and in any language at the border.

Templates are written as fitment's are (``configurator.fitment.messages``): ``{gap_mm}`` is a length with its
unit, ``{count:0}`` a number without decimals, ``{change_pct:+}`` one with its sign; ``{total_money}``
is a pair of amount and currency, and any other place takes text, another sentence, or a list of them.

>>> compose({"inside": "Sits {gap_mm} inside the arch."}, "inside", gap_mm=4.0)
'Sits 4 mm inside the arch.'
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from configurator.fitment import Message
from configurator.fitment.messages import UNITS
from configurator.fitment.said import Spec, english, fill, plain

from .said import Said

MONEY = "money"
ROW = "row"
"""The id of several sentences that follow each other."""


def compose(table: Mapping[str, str], name: str, /, **figures: Any) -> Said:
    """Return the English sentence of that name with its figures kept."""
    return Said(fill(table[name], figures, in_english), id=name, figures=figures)


def joined(sentences: Iterable[str]) -> Said:
    """Return several sentences as one text, one after the other."""
    parts = [one for one in sentences if one]
    if len(parts) == 1 and isinstance(parts[0], Said):
        return parts[0]
    return Said(" ".join(parts), id=ROW, figures={"parts": parts})


def said(messages: Iterable[Message]) -> Said:
    """Return what fitment answered as a text with its values."""
    return joined(Said(english(one.id, one.figures), id=one.id, figures=one.figures) for one in messages)


def kind_of(key: str) -> str:
    """Return what a figure is, by the last word of its key: mm, kg, money, seat."""
    return key.rpartition("_")[2]


def is_number(value: Any) -> bool:
    """Whether a figure is a number, as against a text or a list."""
    return isinstance(value, int | float | Decimal) and not isinstance(value, bool)


def in_english(key: str, value: Any, spec: Spec) -> str:
    """Show a figure in English with its unit."""
    if kind_of(key) == MONEY:
        return f"{value[0]} {value[1]}"
    if isinstance(value, list | tuple):
        return ", ".join(in_english(key, one, spec) for one in value)
    if not is_number(value):
        return str.__str__(value) if isinstance(value, str) else str(value)
    digits = plain(float(value), spec.places, signed=spec.signed)
    unit = "" if spec.bare else UNITS.get(kind_of(key), "")
    return f"{digits} {unit}" if unit else digits
