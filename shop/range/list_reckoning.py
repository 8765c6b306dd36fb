"""From a supplier's row to our cost and price: units, currency, tax, discount, margin and rounding."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext_lazy as _

from .bulk import rounded

FIELDS: dict[str, Any] = {
    "ref": _("Supplier’s number"),
    "name": _("Name"),
    "cost": _("Price on the list"),
    "group": _("Discount group"),
    "per": _("The price is for so many"),
    "currency": _("Currency"),
    "unit": _("Unit"),
    "pack": _("Pack"),
    "price": _("Recommended price, tax included"),
}
NEEDED = ("ref", "cost")
_WORDS = {
    "ref": "article|article number|item|item number|artikel|artikelnummer|artikel nr|art nr|bestellnummer",
    "name": "description|name|bezeichnung|artikelbezeichnung|text|beschreibung",
    "cost": "list price|price|net price|preis|listenpreis|nettopreis|ek|einkaufspreis|cost|hek",
    "group": "group|discount group|rabattgruppe|warengruppe|rg|wg",
    "per": "per|price unit|preiseinheit|pe|price per",
    "currency": "currency|währung|waehrung",
    "unit": "unit|einheit|me|mengeneinheit|uom",
    "pack": "pack|packing|ve|verpackungseinheit|pack size|gebinde",
    "price": "recommended price|rrp|uvp|retail price|vk|verkaufspreis",
}
UNITS = {
    "each": "each|pce|pcs|pc|st|stk|stück|stueck|ea|piece|c62|h87",
    "m": "m|mtr|metre|meter",
    "l": "l|ltr|litre|liter",
    "g": "g|grm|gram|gramm",
}
_UNIT_OF = {word: unit for unit, told in UNITS.items() for word in told.split("|")}


@dataclass(frozen=True)
class Reckoning:
    """How prices of one supplier become ours; percentages are plain numbers."""

    columns: Mapping[str, int]
    currency: str
    rate: Decimal = Decimal(1)
    tax_included_pct: Decimal = Decimal(0)
    groups: Mapping[str, Decimal] = field(default_factory=dict)
    markups: Sequence[tuple[str, Decimal, Decimal]] = ()
    step: str = "0.01"
    ending: str = ""
    tax_pct: Decimal = Decimal(0)
    mark: str = "."


@dataclass(frozen=True)
class Reckoned:
    """One row as we would take it; ``why`` is the id of what is wrong, with its ``figure``."""

    ref: str = ""
    name: str = ""
    cost: Decimal | None = None
    price: Decimal | None = None
    unit: str = "each"
    pack: str = "1"
    why: str = ""
    figure: str = ""


def guess(heading: Sequence[str]) -> dict[str, str]:
    """Return the heading that likely holds each field."""
    plain = {_plain(cell): cell for cell in reversed(heading) if cell}
    found = {}
    for name, told in _WORDS.items():
        hit = next((plain[word] for word in told.split("|") if word in plain), None)
        if hit is not None:
            found[name] = hit
    return found


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[\W_]+", " ", text.casefold()).split())


def decimal_mark(cells: Sequence[str], otherwise: str = ".") -> str:
    """Return the decimal mark that a column of prices shows; ``otherwise`` where no cell tells."""
    for cell in cells:
        bare = re.sub(r"[^\d.,]", "", cell)
        marks = [char for char in bare if char in ".,"]
        behind = len(bare) - bare.rfind(marks[-1]) - 1 if marks else 0
        if marks and (len(set(marks)) == 2 or (len(marks) == 1 and behind != 3)):
            return marks[-1]
    return otherwise


def number(text: str, mark: str = ".") -> Decimal | None:
    """Return the one figure in a text, ``1.234,50`` with a comma as ``mark``, ``1,234.50`` with a point.

    What can only be meant with the other mark is read so: ``12.50`` is no thousands. None for no figure, for
    several, and for one whose groups are no thousands.
    """
    found = list(_FIGURE.finditer(text.replace("\u2212", "-").replace("\u2019", "'")))
    if len(found) != 1:
        return None
    told, before, behind = found[0][0], found[0].string[: found[0].start()], found[0].string[found[0].end() :]
    bare = told.lstrip("+-").rstrip(" .,'")
    # Without cents people write 12.- and 12,-; a sign behind the figure itself, or brackets, take away.
    no_cents = behind.startswith("-") and told.endswith((".", ","))
    less = told.startswith("-") or (behind.lstrip().startswith("-") and not no_cents)
    less = less or (before.endswith("(") and behind.startswith(")"))
    for point in (mark, ",."[mark == ","]):
        between = ".,"[point == "."] + "' "
        if re.fullmatch(rf"(\d+|\d{{1,3}}([{between}]\d{{3}})+)?([{point}]\d+)?", bare):
            value = Decimal(re.sub(r"[^\d.]", "", bare.replace(between[0], "").replace(point, ".")))
            return -value if less else value
    return None


_FIGURE = re.compile(r"[+-]?(?:\d[\d.,' ]*|[.,]\d+)")


def reckon(cells: Sequence[str], how: Reckoning) -> Reckoned:
    """Return what a row comes to, or what is wrong with it."""
    told = {name: cells[at].strip() if at < len(cells) else "" for name, at in how.columns.items()}
    ref, name = told["ref"][:60], told.get("name", "")[:160]
    why, figure = _wrong(told, how)
    if why:
        return Reckoned(ref, name, why=why, figure=figure[:60])
    group = told.get("group", "").casefold()
    listed = number(told["cost"], how.mark) or Decimal(0)
    ours = own_cost(listed / (number(told.get("per", ""), how.mark) or 1), group, how)
    if ours >= 1000000:
        return Reckoned(ref, name, why="too_much", figure=told["cost"][:60])
    pack = number(told.get("pack", ""), how.mark) or Decimal(1)
    price = own_price(ours, group, number(told.get("price", ""), how.mark), how)
    return Reckoned(ref, name, ours, price, _unit(told) or "each", f"{pack if pack > 0 else 1:f}"[:12])


def _unit(told: Mapping[str, str]) -> str:
    return _UNIT_OF.get(told.get("unit", "").casefold().rstrip("."), "" if told.get("unit") else "each")


def _wrong(told: Mapping[str, str], how: Reckoning) -> tuple[str, str]:
    """Return the id of what is wrong with a row, and the figure; empty where nothing is."""
    cost, per = number(told["cost"], how.mark), number(told.get("per", ""), how.mark)
    group = told.get("group", "").casefold()
    if not told["ref"]:
        return "no_ref", ""
    if cost is None or cost < 0:
        return "no_cost", told["cost"]
    if told.get("currency") and told["currency"].upper() != how.currency:
        return "currency", told["currency"]
    if not _unit(told):
        return "unit", told["unit"]
    if told.get("per") and (per is None or per <= 0):
        return "per", told["per"]
    return ("group", told["group"]) if group and how.groups and group not in how.groups else ("", "")


def own_cost(listed: Decimal, group: str, how: Reckoning) -> Decimal:
    """Return what one unit costs the workshop without tax, in its own currency, to four places."""
    net = listed / (1 + how.tax_included_pct / 100)
    off = how.groups.get(group, Decimal(0))
    return (net * (1 - off / 100) * how.rate).quantize(Decimal("0.0001"))


def own_price(cost: Decimal, group: str, recommended: Decimal | None, how: Reckoning) -> Decimal | None:
    """Return what the customer pays, tax included and rounded; None where no rule says.

    The rule of the row's own group goes before the one for all (``*``), of several the one with the highest
    cost that the row reaches; without any the recommended price stands.
    """
    fitting = [rule for rule in how.markups if rule[0] in (group, "*") and cost >= rule[1]]
    if not fitting:
        return rounded(recommended, how.step, how.ending) if recommended is not None else None
    best = max(fitting, key=lambda rule: (rule[0] == group, rule[1]))
    gross = cost * (1 + best[2] / 100) * (1 + how.tax_pct / 100)
    return rounded(gross, how.step, how.ending)
