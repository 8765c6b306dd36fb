"""Everything that people read of a build, worded in their language and units: the one place that does.

A text with values (``Said``) is worded from them: a catalogue's own text in the reader's language where its
files have it, a sentence of the program from its id and figures. A plain string has been frozen before
texts carried values, or is a name; it is shown as it is.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache, partial
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import get_language, gettext
from django.utils.translation import gettext_lazy as _

from configurator.builds.sentences import SENTENCES, say
from configurator.words import MINUS, ROW, UNITS, Place, Said, filled, rounded

MM_PER_IN = 25.4
SYMBOLS = {"EUR": "€", "GBP": "£", "USD": "$"}
# A word that holds a figure: 42, 66.6, +1.2, M14x1.5, cone60, 225/50R18C.
FIGURE = re.compile(r"(?<![\w.+-])[-−+]?(?=[\w.×/+-]*\d)[\w.×/+-]*\w")
PLAIN = re.compile(r"[-−+]?\d+(?:\.\d+)?")
LENGTH = re.compile(r"(?<![\w.×/-])([-−+]?\d+(?:[.,]\d+)?)[ \u00a0]mm\b")
COMPOSED = (
    re.compile(r"(.+)(, )(front|rear)"),
    re.compile(r"(Give up)( )(.+?)(?:( )(and)( )(take)( )(.+))?"),
    re.compile(r"(Give up)( )(.+?)( )(and)( )(say that your vehicle has)(: )(.+)"),
    re.compile(r"(.+)( in )(.+)"),
)
CHECKS = {
    "bolt_circle": _("the bolt holes differ"),
    "centre_bore": _("the centre bore differs"),
    "spigot_engagement": _("too little of the hub's spigot is left"),
    "spacer_kind": _("the spacer is of the wrong kind"),
    "seat": _("the bolt's seat differs"),
    "fastener_length": _("no bolt of that length"),
    "thread_engagement": _("too few turns of thread"),
    "fastener_protrusion": _("the bolt would stand out behind the hub"),
    "brake_clearance": _("the brake is too close"),
    "inboard_clearance": _("the strut is too close"),
    "outboard_position": _("it stands out of the arch"),
    "wheel_cover": _("the arch must cover more of the tyre"),
    "arch_diameter": _("the tyre is too tall for the arch"),
    "tyre_rim_width": _("no stocked tyre suits the rim"),
    "tyre_load": _("no stocked tyre carries the axle load"),
    "tyre_speed": _("no stocked tyre is fast enough"),
    "wheel_load": _("the wheel's rating is below the axle load"),
    "speedometer": _("the speedometer would be out"),
    "track_change": _("the track changes too much"),
    "clamp_load": _("the bolts' clamp load is out"),
}

MEASURED = {
    "spigot_engagement": _("the hub's spigot"),
    "fastener_protrusion": _("the room behind the hub"),
    "thread_engagement": _("the hub's thread"),
    "brake_clearance": _("the room for the brake"),
    "inboard_clearance": _("the room beside the strut"),
    "outboard_position": _("where it stands in the arch"),
    "wheel_cover": _("how the arch covers it"),
    "arch_diameter": _("the room in the arch"),
    "speedometer": _("the speedometer"),
    "wheel_load": _("the wheel's rating"),
    "track_change": _("the track"),
}


def check_word(check: str | None, verdict: str) -> str:
    """Return in a few words what decides when it is not a plain fit."""
    words = CHECKS if verdict == "no" else MEASURED
    return str(words.get(check, "")) if check else ""


def verdict_word(verdict: str) -> str:
    """Return a verdict in the reader's language."""
    return told(say(verdict)) if verdict in SENTENCES else verdict


def template_of(text: str) -> tuple[str, list[str]]:
    """Return the sentence with ``{}`` for each figure, and the figures."""
    return FIGURE.sub("{}", text), FIGURE.findall(text)


def told(text: str, *, inches: bool = False) -> str:
    """Return a text in the active language, with lengths in inches when wanted."""
    if isinstance(text, Said):
        return _worded(text, inches)
    return _told(text, get_language() or "", inches) if text else ""


def _worded(said: Said, inches: bool) -> str:
    if said.texts:
        language = get_language() or ""
        base = language.partition("-")[0]
        return str.__str__(said.texts.get(language) or said.texts.get(base) or said)
    if said.id == ROW:
        return " ".join(told(part, inches=inches) for part in said.figures["parts"])
    template = SENTENCES.get(said.id)
    if template is None:
        return str.__str__(said)
    return filled(gettext(template), said.figures, partial(_shown, inches=inches))


def _shown(value: Any, place: Place, *, inches: bool) -> str:
    """Show one figure of a sentence in the reader's language."""
    if place.manner == "money":
        return money(*value)
    if isinstance(value, list | tuple):
        return ", ".join(_shown(one, place, inches=inches) for one in value)
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        text = told(value, inches=inches) if isinstance(value, Said) else str(value)
        return text[:1].lower() + text[1:] if place.manner == "lower" else text
    if place.unit == "mm" and inches:
        return f"{localised(round(float(value) / MM_PER_IN, 2), 2)}\u00a0in"
    digits = in_figures(rounded(value, place))
    return f"{digits} {gettext(UNITS[place.unit])}" if place.unit else digits


def in_figures(digits: str) -> str:
    """Return plain digits, such as ``+1.25``, with the reader's decimal sign."""
    sign = digits[:1] if digits[:1] in ("+", MINUS) else ""
    places = len(digits.partition(".")[2])
    return sign + number_format(Decimal(digits.removeprefix(sign)), places)


def localised(value: float, places: int) -> str:
    """Return a number as the reader's language writes it, with one minus sign."""
    return number_format(value, places).replace("-", MINUS)


def money(amount: Decimal | float | None, currency: str = "EUR") -> str:
    """Return an amount with its currency as the reader's language writes it."""
    if amount is None:
        return ""
    figures = number_format(abs(amount), 2, force_grouping=True)
    sign = MINUS if amount < 0 else ""
    symbol = SYMBOLS.get(currency, currency)
    if (get_language() or "").startswith("en"):
        return f"{sign}{symbol}{figures}" if symbol != currency else f"{sign}{symbol}\xa0{figures}"
    return f"{sign}{figures}\xa0{symbol}"


@lru_cache(maxsize=8192)
def _told(text: str, _language: str, inches: bool) -> str:
    whole = _looked_up(text) or _composed(text) or _by_sentence(text)
    return LENGTH.sub(_in_inches, whole) if inches else whole


def _by_sentence(text: str) -> str:
    """Look up what stands between full stops, colons and semicolons, each part by itself."""
    parts = re.split(r"(?<=[.:;])( )", text)
    return "".join(_part(part) for part in parts)


def _part(part: str) -> str:
    bare = part.rstrip(".:;")
    return (_looked_up(part) or _looked_up(bare) or _composed(bare) or bare) + (
        "" if _looked_up(part) else part[len(bare) :]
    )


def _composed(text: str) -> str | None:
    """Look up labels that are put together: ``part, front``, ``part in finish``, ``Give up a and take b``."""
    for pattern in COMPOSED:
        match = pattern.fullmatch(text)
        if match:
            return "".join(_looked_up(piece) or _listed(piece) for piece in match.groups() if piece)
    return None


def _listed(piece: str) -> str:
    """Look up the members of a list; names may hold commas themselves, so the longest that is known."""
    words = piece.split(", ")
    done: list[str] = []
    while words:
        for count in range(len(words), 0, -1):
            found = _looked_up(", ".join(words[:count]))
            if found or count == 1:
                done.append(found or words[0])
                words = words[count:]
                break
    return ", ".join(done)


def _looked_up(text: str) -> str | None:
    direct = gettext(text) if text.strip() else text
    if direct != text:
        return direct
    key, figures = template_of(text)
    found = gettext(key) if figures else key
    if found == key or found.count("{}") != len(figures):
        return None
    return found.format(*(_localised(figure) for figure in figures))


def _localised(figure: str) -> str:
    if not PLAIN.fullmatch(figure):
        return figure
    places = len(figure.partition(".")[2])
    shown = number_format(figure.replace("−", "-").lstrip("+"), places).replace("-", "−")
    return f"+{shown}" if figure.startswith("+") else shown


def _in_inches(match: re.Match[str]) -> str:
    length_mm = float(match[1].replace(",", ".").replace("−", "-"))
    return f"{number_format(round(length_mm / MM_PER_IN, 2), 2)}\u00a0in".replace("-", "−")


def figure(value: Any, unit: str = "", *, inches: bool = False) -> str:
    """Return a figure with its unit: at most one decimal, two in inches; texts as they are."""
    if value is None or value == "" or unit == "mismatch":
        return "–"
    if isinstance(value, str):
        return gettext(value)
    if unit == "mm" and inches:
        return f"{number_format(round(value / MM_PER_IN, 2), 2)}\u00a0in".replace("-", "−")
    places = 0 if float(value).is_integer() else 1
    shown = number_format(round(value, places), places, force_grouping=True).replace("-", "−")
    return f"{shown}\u00a0{gettext(unit)}" if unit else shown
