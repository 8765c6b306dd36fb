"""Sentences of the engines, told in the reader's language and units.

The pure packages speak English and millimetres. Here, at the border, their sentences are looked up in
the message catalogue with the figures taken out (``Needs {} mm bolts``), so that one translation serves
every figure, and lengths are given in inches to those who think in them.

>>> template_of("Sits 4 mm inside the arch.")
('Sits {} mm inside the arch.', ['4'])
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import get_language, gettext
from django.utils.translation import gettext_lazy as _

MM_PER_IN = 25.4
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
WORDS = {
    "fits": _("fits"),
    "measure": _("we measure first"),
    "unknown": _("not known yet"),
    "no": _("does not fit"),
    "note": _("note"),
}
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
    return str(WORDS.get(verdict, verdict))


def template_of(text: str) -> tuple[str, list[str]]:
    """Return the sentence with ``{}`` for each figure, and the figures."""
    return FIGURE.sub("{}", text), FIGURE.findall(text)


def told(text: str, *, inches: bool = False) -> str:
    """Return the text in the active language, sentence by sentence, and in inches when wanted."""
    return _told(text, get_language() or "", inches) if text else ""


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
