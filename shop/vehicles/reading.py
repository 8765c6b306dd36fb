"""Measurements as people type them, and as the card and pages show them again."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from .measured import Kind, Measured

_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")


MOST = 40


class ReadingError(ValueError):
    """What was typed cannot be read as a measurement; the text is for whoever typed it."""


def read(one: Measured, typed: str) -> tuple[list[Any], Any]:
    """Return what was read and what the catalogue is to say; raise ReadingError with what to do.

    Figures are parted by blanks or semicolons; a point or a comma parts decimals; pairs are ``178:-35``.

    >>> read(BY_FIELD["strut_face_mm"], "194 192,5 201")
    ([194.0, 192.5, 201.0], -192.5)
    """
    words = typed.replace(";", " ").split()
    if not words or len(words) > MOST:
        raise ReadingError(_("Between one and forty figures."))
    if one.kind == Kind.TEXT:
        return [typed.strip()], typed.strip()
    if one.kind == Kind.PAIRS:
        pairs = [_pair(word) for word in words]
        return pairs, sorted(pairs, reverse=True)
    figures = [_figure(word) for word in words]
    if one.kind == Kind.COUNT:
        if len(figures) != 1 or figures[0] != int(figures[0]):
            raise ReadingError(_("One whole number."))
        return figures, int(figures[0])
    if one.kind == Kind.ONE and len(figures) > 2:
        raise ReadingError(_("One figure, or the two of a second try."))
    if min(figures) < 0:
        raise ReadingError(_("Lengths are written without a sign."))
    return figures, one.sign * _which(one, figures)


def _which(one: Measured, figures: Sequence[float]) -> float:
    """Return the least where the narrowest place counts, else the middle of two tries."""
    found = min(figures) if one.kind == Kind.LEAST else sum(figures) / len(figures)
    return round(found, 2)


def _figure(word: str) -> float:
    if not _NUMBER.fullmatch(word):
        raise ReadingError(_("‘%(word)s’ is no figure.") % {"word": word[:20]})
    value = float(word.replace(",", "."))
    if not math.isfinite(value) or abs(value) > 5000:
        raise ReadingError(_("‘%(word)s’ is further than any axle.") % {"word": word[:20]})
    return value


def _pair(word: str) -> list[float]:
    radius, colon, y = word.partition(":")
    if not colon:
        raise ReadingError(_("‘%(word)s’ is no pair; write it as 178:-35.") % {"word": word[:20]})
    return [_figure(radius), _figure(y)]


def typed(one: Measured, readings: Sequence[Any]) -> str:
    """Return readings as somebody would type them."""
    if one.kind == Kind.PAIRS:
        return " ".join(f"{radius:g}:{y:g}" for radius, y in readings)
    return " ".join(f"{value:g}" if isinstance(value, float | int) else str(value) for value in readings)


def shown(one: Measured, value: Any) -> str:
    """Return a catalogue's value as the card and pages show it; an empty text where there is none."""
    if value in (None, "", []):
        return ""
    if one.kind == Kind.PAIRS:
        return typed(one, value)
    return f"{abs(value):g}" if isinstance(value, float | int) else str(value)
