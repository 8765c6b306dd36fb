"""Sentences with places for figures, worded in English here and in any language at the border.

A place says how its figure is shown: ``{gap:mm}`` a length, ``{mass:kg}`` a mass, ``{change:+1}`` a number
with its sign and one decimal, ``{part:lower}`` a name inside a sentence, ``{total:money}`` a pair of amount
and currency, ``{names}`` text or a list.

>>> compose({"inside": "Sits {gap:mm} inside the arch."}, "inside", gap=4.0)
'Sits 4 mm inside the arch.'
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from string import Formatter
from typing import Any

from .said import Said

UNITS = {"mm": "mm", "kg": "kg", "Nm": "N m", "kmh": "km/h", "km": "km", "pct": "per cent", "l": "l"}
MANNERS = ("lower", "money")
MINUS = "−"
_SPEC = re.compile(r"(\+?)(\d?)(" + "|".join((*MANNERS, *UNITS)) + r")?")
Show = Callable[[Any, "Place"], str]


class Place:
    """How a figure is to be shown: its sign, decimals (``None``: as many as help), unit and manner."""

    def __init__(self, spec: str) -> None:
        match = _SPEC.fullmatch(spec)
        if match is None:
            raise ValueError(f"no such way to show a figure: {spec}")
        self.signed = bool(match[1])
        self.decimals = int(match[2]) if match[2] else None
        self.unit = match[3] if match[3] in UNITS else ""
        self.manner = match[3] if match[3] in MANNERS else ""


def filled(template: str, figures: Mapping[str, Any], show: Show) -> str:
    """Return the template with each place filled by ``show``; a missing figure shows as a dash."""
    done = []
    for text, name, spec, _conversion in Formatter().parse(template):
        done.append(text)
        if name is not None:
            done.append(show(figures[name], Place(spec or "")) if name in figures else "–")
    return "".join(done)


def compose(table: Mapping[str, str], name: str, /, **figures: Any) -> Said:
    """Return the English sentence of that name with its figures kept."""
    return Said(filled(table[name], figures, in_english), id=name, figures=figures)


def joined(sentences: Iterable[str]) -> Said:
    """Return several sentences as one text, one after the other."""
    parts = [one for one in sentences if one]
    return parts[0] if len(parts) == 1 and isinstance(parts[0], Said) else _row(parts)


def _row(parts: list[str]) -> Said:
    return Said(" ".join(parts), id=ROW, figures={"parts": parts})


ROW = "row"
"""The id of several sentences that follow each other."""


def in_english(value: Any, place: Place) -> str:
    """Show a figure in English with its unit."""
    if place.manner == "money":
        return f"{value[0]} {value[1]}"
    if isinstance(value, list | tuple):
        return ", ".join(in_english(one, place) for one in value)
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        text = str.__str__(value) if isinstance(value, str) else str(value)
        return text[:1].lower() + text[1:] if place.manner == "lower" else text
    digits = rounded(value, place)
    return f"{digits} {UNITS[place.unit]}" if place.unit else digits


def rounded(value: float | Decimal, place: Place) -> str:
    """Return the digits: at most two decimals where none are asked for, one minus sign, no "−0", no "+0"."""
    number = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    places = 2 if place.decimals is None else place.decimals
    text = f"{round(number, places):.{places}f}"
    if place.decimals is None and "." in text:
        text = text.rstrip("0").rstrip(".")
    if not text.strip("-0."):
        return text.lstrip("-")
    if text.startswith("-"):
        return MINUS + text[1:]
    return f"+{text}" if place.signed else text
