"""Everything that people read of a build, worded in their language and units: the one place that does.

A text with values (``Said``) is worded from them: a catalogue's own text in the reader's language where its
files have it, a sentence of the program from its id and figures. A plain string was frozen before texts
carried values, or is a name; it is shown as it is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import Decimal
from functools import partial
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import get_language, gettext

from configurator.builds.sentences import SENTENCES, say
from configurator.fitment.defaults import INCH_MM
from configurator.fitment.messages import TEMPLATES, UNITS
from configurator.fitment.said import Spec, fill, plain
from configurator.words import MONEY, ROW, Said, is_number, kind_of

from . import told_codes

MINUS = "−"
SYMBOLS = {"EUR": "€", "GBP": "£", "USD": "$"}


def told(text: str, *, inches: bool = False) -> str:
    """Return a text in the active language, with lengths in inches when wanted."""
    if not isinstance(text, Said):
        return gettext(text) if text else ""
    if text.texts:
        language = get_language() or ""
        return str.__str__(text.texts.get(language) or text.texts.get(language.partition("-")[0]) or text)
    if text.id == ROW:
        return " ".join(told(part, inches=inches) for part in text.figures["parts"])
    return worded(text.id, text.figures, inches=inches) if text.id else str.__str__(text)


def worded(name: str, figures: Mapping[str, Any], *, inches: bool = False) -> str:
    """Return the sentence of that id in the active language; an id that nobody knows says nothing."""
    template = SENTENCES.get(name) or TEMPLATES.get(name, "")
    return fill(gettext(template), figures, partial(_shown, inches=inches)) if template else ""


def _shown(key: str, value: Any, spec: Spec, *, inches: bool) -> str:
    """Show one figure of a sentence in the reader's language and units."""
    kind = kind_of(key)
    if kind == MONEY:
        return money(*value)
    if isinstance(value, list | tuple):
        return _several(key, value, spec, inches=inches)
    if not is_number(value):
        return told(value, inches=inches) if isinstance(value, Said) else told_codes.word(kind, str(value))
    if kind == "mm" and inches:
        digits = localised(round(float(value) / INCH_MM, 2), 2)
        return digits if spec.bare else f"{digits}\u00a0in"
    digits = in_figures(plain(float(value), spec.places, signed=spec.signed))
    unit = "" if spec.bare or kind not in UNITS else gettext(UNITS[kind])
    return f"{digits} {unit}" if unit else digits


def _several(key: str, values: Any, spec: Spec, *, inches: bool) -> str:
    """Show a list: texts one after the other, numbers as a sum."""
    if not values or not is_number(values[0]):
        single = key.removesuffix("s")
        return ", ".join(_shown(single, one, spec, inches=inches) for one in values)
    bare = spec._replace(bare=True, signed=False)
    parts = [_shown(key, abs(one), bare, inches=inches) for one in values]
    signs = ["", *(f" {MINUS} " if math.copysign(1, one) < 0 else " + " for one in values[1:])]
    total = "".join(sign + part for sign, part in zip(signs, parts, strict=True))
    unit = "" if spec.bare else gettext(UNITS.get(kind_of(key), "")) if kind_of(key) in UNITS else ""
    return f"{total} {unit}" if unit else total


def in_figures(digits: str) -> str:
    """Return plain digits, such as ``+1.25``, with the reader's decimal sign."""
    sign = digits[:1] if digits[:1] in ("+", MINUS) else ""
    places = len(digits.partition(".")[2])
    return sign + str(number_format(digits.removeprefix(sign), places))


def localised(value: float, places: int) -> str:
    """Return a number as the reader's language writes it, with one minus sign and no −0."""
    return in_figures(f"{value + 0.0:.{places}f}".replace("-", MINUS))


def money(amount: Decimal | float | None, currency: str = "EUR") -> str:
    """Return an amount with its currency as the reader's language writes it."""
    if amount is None:
        return ""
    figures = number_format(abs(Decimal(str(amount))), 2, force_grouping=True)
    sign = MINUS if amount < 0 else ""
    symbol = SYMBOLS.get(currency, currency)
    if (get_language() or "").startswith("en"):
        return f"{sign}{symbol}{figures}" if symbol != currency else f"{sign}{symbol}\xa0{figures}"
    return f"{sign}{figures}\xa0{symbol}"


def figure(value: Any, unit: str = "", *, inches: bool = False) -> str:
    """Return a figure with its unit: at most one decimal, two in inches, forces in kN; texts as they are."""
    if value is None or value == "" or unit == "mismatch":
        return "–"
    if isinstance(value, str):
        return told_codes.word("", value)
    if unit == "mm" and inches:
        return f"{localised(round(value / INCH_MM, 2), 2)}\u00a0in"
    if unit == "N":  # forces of a tightened joint: tens of thousands, known to a few hundred
        value, unit = float(value) / 1000, "kN"
    shown = number_format(plain(float(value), 1).removeprefix(MINUS), force_grouping=True)
    sign = MINUS if round(float(value), 1) < 0 else ""
    return f"{sign}{shown}\u00a0{gettext(unit)}" if unit else f"{sign}{shown}"


def number(value: Any) -> str:
    """Return a number without needless noughts: ``1250``, ``2.5``, ``0.05``; texts as they are.

    Six figures at most: what is measured or worked out has no more, and floating point shows none of its own.
    """
    if not is_number(value):
        return "" if value is None else str(value)
    exact = Decimal(f"{value:.6g}") if isinstance(value, float) else Decimal(value)
    return in_figures(f"{exact.normalize() + 0:f}".replace("-", MINUS))


def signed(value: float | None) -> str:
    """Return a margin with its sign, at most one decimal: ``+1.2``, ``−3``."""
    return "" if value is None else in_figures(plain(value, 1, signed=True))


def quantity(value: Decimal, unit: str) -> str:
    """Return how much of something: ``8 ×``, ``1.9 m``, ``0.02 l``."""
    digits = in_figures(f"{round(value, 3).normalize():f}")
    return f"{digits}\u00a0{told_codes.QUANTITIES.get(unit, unit)}"


def verdict_word(verdict: str) -> str:
    """Return a verdict in the reader's language."""
    return told(say(verdict)) if verdict in SENTENCES else verdict


def check_word(check: str | None, verdict: str) -> str:
    """Return in a few words what decides when it is not a plain fit."""
    words = told_codes.CHECKS if verdict == "no" else told_codes.MEASURED
    return str(words.get(check, "")) if check else ""
