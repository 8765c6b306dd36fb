"""What each choice on the build page shows: cards made from catalogue rows, for any form to list.

A card is the *label* of a form choice, so that crispy's field templates can draw it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext

from configurator.catalogue import selectors
from configurator.catalogue.models import Axle, Family, Finish, Option, Spacer, Tyre, Wheel
from configurator.catalogue.snapshot import Catalogue

SECTIONS = ("vehicle", "accent", "panels", "removals", "care")


@dataclass(frozen=True)
class Card:
    """One thing to choose, as people see it; ``token`` is its id in the rules, ``finishes`` its finishes."""

    code: str
    name: str
    detail: str = ""
    price: Decimal | None = None
    hex: str = ""
    sheen: str = ""
    token: str = ""
    finishes: tuple[str, ...] = ()
    design: str = ""

    def __str__(self) -> str:
        return self.name


Choices = list[tuple[str, Card]]


def finish_cards(finishes: Iterable[Finish]) -> Choices:
    """Return colours as cards."""
    return [(f.code, Card(f.code, f.name, f.paint_code, hex=f.hex, sheen=f.sheen)) for f in finishes]


def accent_cards(catalogue: Catalogue) -> Choices:
    """Return the workshop's accent colours."""
    return finish_cards(selectors.accents(catalogue))


def part_card(kind: str, part: Wheel | Tyre | Spacer) -> Card:
    """Return a wheel, tyre or spacer as a card, priced by the piece."""
    price = part.item.unit_price
    if isinstance(part, Wheel):
        return Card(
            part.code,
            part.item.name,
            wheel_size(part),
            price,
            hex=part.finish.hex,
            sheen=part.finish.name,
            design=part.design,
        )
    if isinstance(part, Tyre):
        return Card(part.code, f"{part.maker} {part.designation}", price=price)
    return Card(part.code, _spacer_name(part), price=price)


def stays_card(kind: str, axle: Axle) -> Card:
    """Return the card of an axle that keeps what it has."""
    if kind == "wheel":
        return Card("", gettext("Keep the wheels it has"))
    if kind == "tyre":
        return Card("", gettext("Keep the tyres it has: %(size)s") % {"size": axle.original_tyre})
    return Card("", gettext("No spacers"))


def wheel_size(wheel: Wheel) -> str:
    """Return the size as the trade writes it, ``8 × 18 ET 45``, unless the name says it."""
    if f"{wheel.width_in:g}×{wheel.diameter_in:g}" in wheel.item.name:
        return ""
    offset = "" if wheel.offset_mm is None else f" ET {wheel.offset_mm:g}"
    return f"{wheel.width_in:g} × {wheel.diameter_in:g}{offset}"


def _spacer_name(spacer: Spacer) -> str:
    kind = gettext("bolted on") if spacer.kind == "bolt_on" else gettext("slipped on")
    return f"{spacer.thickness_mm:g} mm, {kind}"


def family_cards(family: Family, options: Iterable[Option]) -> Choices:
    """Return a family's options as cards; what can only be one way is not asked."""
    listed = [(o.code, option_card(o)) for o in options]
    return [] if family.kind == Family.Kind.ONE and len(listed) == 1 else listed


def option_card(option: Option) -> Card:
    """Return an option as a card."""
    return Card(
        option.code,
        option.name,
        option.summary,
        token=option.code,
        finishes=tuple(option.finish_choices),
    )


def finish_choices(card: Card, catalogue: Catalogue) -> Choices:
    """Return the finishes of a card by name; the body's and the accent's say which they are."""
    named = {"body": gettext("body colour"), "accent": gettext("accent colour")}
    known = catalogue.finishes
    return [
        (code, Card(code, named.get(code) or (known[code].name if code in known else code)))
        for code in card.finishes
    ]
