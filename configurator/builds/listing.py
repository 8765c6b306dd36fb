"""The long lists of a build page: which wheels, tyres and spacers go on, filtered, sorted and paged.

However large the catalogue, one list shows a page of it and says how many there are. Rows depend on the
catalogue and on what is chosen around them, never on the list's own choice: nothing jumps when it is made.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from configurator.catalogue import selectors
from configurator.catalogue.models import Axle, Spacer, Tyre, Wheel

from . import offers
from .offers import Offer, Offers
from .selection import Selection

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

PAGE = 12
MOST_KEPT = 200
RANK = {"fits": 0, "measure": 1, "unknown": 2, "no": 3}
SHOWN = {"can": 2, "fits": 0, "all": 3}
"""Up to which rank of verdict each answer to "show" lists."""
SORTS = ("fit", "price", "dearest", "small", "large", "name")
FACETS = {
    "wheel": ("diameter", "width", "finish", "design"),
    "tyre": ("width", "maker"),
    "spacer": ("kind",),
}
KINDS = tuple(FACETS)


@dataclass(frozen=True)
class Row:
    """One part that could go on: ``facts`` by facet, ``size`` orders them from small to large."""

    code: str
    part: Wheel | Tyre | Spacer
    verdict: str
    check: str | None
    price: Decimal
    size: tuple[float, ...]
    facts: Mapping[str, str]


@dataclass(frozen=True)
class Asked:
    """What someone asks of a list. ``facets`` holds (facet, value) pairs, each to be met."""

    show: str = "can"
    sort: str = "fit"
    facets: tuple[tuple[str, str], ...] = ()
    most: Decimal | None = None
    page: int = 1


@dataclass(frozen=True)
class Found:
    """One page of a list.

    ``counts`` tells how many each answer to "show" would list, ``facets`` how many each value of a facet
    would leave; ``total`` is how many there are under what was asked, ``known`` how many in all. ``asked`` is
    what was answered: a facet's value that no part has is passed over, a page beyond the last is the last.
    """

    rows: tuple[Row, ...]
    total: int
    known: int
    page: int
    pages: int
    counts: Mapping[str, int]
    facets: Mapping[str, Mapping[str, int]]
    asked: Asked


def find(kind: str, selection: Selection, positions: tuple[str, ...], asked: Asked, cat: Catalogue) -> Found:
    """Return one page of the wheels, tyres or spacers for the axles that are fitted alike."""
    return cat.once(
        "pages of parts",
        (*_key(kind, selection, positions), asked),
        lambda: pick(rows(kind, selection, positions, cat), asked, FACETS[kind]),
        most=MOST_KEPT,
    )


def _key(kind: str, selection: Selection, positions: tuple[str, ...]) -> tuple[Any, ...]:
    """Return what the rows of a catalogue depend on: the vehicle and the other parts of the axles."""
    others = [getattr(selection.axle(position), other) for position in positions for other in _beside(kind)]
    return (selection.generation, kind, positions, *others)


def _beside(kind: str) -> tuple[str, ...]:
    return {"wheel": ("spacer",), "tyre": ("wheel", "spacer"), "spacer": ("wheel", "tyre")}[kind]


def rows(kind: str, selection: Selection, positions: tuple[str, ...], cat: Catalogue) -> tuple[Row, ...]:
    """Return every row, each with the worst verdict of the axles; a part must be known for all of them."""
    key = _key(kind, selection, positions)
    return cat.once(
        "rows of parts", key, lambda: tuple(_made(kind, selection, positions, cat)), most=MOST_KEPT
    )


def _made(kind: str, selection: Selection, positions: tuple[str, ...], cat: Catalogue) -> Iterable[Row]:
    axles = [axle for p in positions if (axle := cat.axles.get((selection.generation, p)))]
    judged = [_offers(kind, axle, selection, cat) for axle in axles]
    for code in judged[0] if judged else ():
        found = [by_code[code] for by_code in judged if code in by_code]
        if len(found) == len(judged):
            yield _row(kind, code, max(found, key=lambda offer: RANK[offer.verdict]), cat)


def _offers(kind: str, axle: Axle, selection: Selection, cat: Catalogue) -> Offers:
    chosen = selection.axle(axle.position)
    if kind == "wheel":
        return offers.wheel_offers(axle, chosen.spacer, cat)
    if kind == "tyre":
        return offers.tyre_offers(axle, chosen.wheel, chosen.spacer, cat)
    return offers.spacer_offers(axle, chosen.wheel, chosen.tyre, cat)


def _row(kind: str, code: str, offer: Offer, cat: Catalogue) -> Row:
    known: dict[str, dict[str, Any]] = {"wheel": cat.wheels, "tyre": cat.tyres, "spacer": cat.spacers}
    part = known[kind][code]
    size, facts = FACTS[kind](part)
    return Row(code, part, offer.verdict, offer.check, part.item.unit_price, size, facts)


def _of_wheel(wheel: Wheel) -> tuple[tuple[float, ...], dict[str, str]]:
    facts = {
        "diameter": f"{wheel.diameter_in:g}",
        "width": f"{wheel.width_in:g}",
        "finish": wheel.finish.code,
        "design": wheel.design,
    }
    return (wheel.diameter_in, wheel.width_in), facts


def _of_tyre(tyre: Tyre) -> tuple[tuple[float, ...], dict[str, str]]:
    data = selectors.tyre_data(tyre)
    facts = {"width": f"{data.width_mm:g}", "maker": tyre.maker}
    return (data.rim_diameter_in, data.width_mm), facts


def _of_spacer(spacer: Spacer) -> tuple[tuple[float, ...], dict[str, str]]:
    return (spacer.thickness_mm,), {"kind": spacer.kind}


FACTS: dict[str, Any] = {"wheel": _of_wheel, "tyre": _of_tyre, "spacer": _of_spacer}
ORDERS: dict[str, Any] = {
    "fit": lambda row: (RANK[row.verdict], *row.size, row.code),
    "price": lambda row: (row.price, *row.size, row.code),
    "dearest": lambda row: (-row.price, *row.size, row.code),
    "small": lambda row: (*row.size, row.code),
    "large": lambda row: (*(-part for part in row.size), row.code),
    "name": lambda row: (str(row.part), row.code),
}


def pick(known: tuple[Row, ...], asked: Asked, facets: tuple[str, ...]) -> Found:
    """Return the page that was asked for."""
    affordable = [row for row in known if asked.most is None or row.price <= asked.most]
    wanted = {name: value for name, value in asked.facets if any(row.facts[name] == value for row in known)}
    met = [row for row in affordable if all(row.facts[name] == value for name, value in wanted.items())]
    within = SHOWN[asked.show]
    shown = sorted((row for row in met if RANK[row.verdict] <= within), key=ORDERS[asked.sort])
    pages = max(1, -(-len(shown) // PAGE))
    page = min(max(asked.page, 1), pages)
    return Found(
        rows=tuple(shown[(page - 1) * PAGE : page * PAGE]),
        total=len(shown),
        known=len(known),
        page=page,
        pages=pages,
        counts={name: sum(RANK[row.verdict] <= rank for row in met) for name, rank in SHOWN.items()},
        facets={name: _left(name, wanted, affordable, within) for name in facets},
        asked=replace(asked, facets=tuple(wanted.items()), page=page),
    )


def _left(name: str, wanted: Mapping[str, str], some: list[Row], within: int) -> dict[str, int]:
    """Return how many rows each value of a facet would leave under everything else that was asked."""
    others = [(other, value) for other, value in wanted.items() if other != name]
    found: dict[str, int] = {}
    for row in some:
        if RANK[row.verdict] <= within and all(row.facts[other] == value for other, value in others):
            found[row.facts[name]] = found.get(row.facts[name], 0) + 1
    return found


Circle = tuple[int | None, float | None]


def elsewhere(selection: Selection, position: str, cat: Catalogue) -> dict[Circle, int]:
    """Return how many wheels of this kind of vehicle have each bolt circle that does not go on the hub."""
    axle = cat.axles.get((selection.generation, position))
    if axle is None:
        return {}
    key = (selection.generation, position)
    return cat.once("wheels of other hubs", key, lambda: _of_other_hubs(axle, cat), most=MOST_KEPT)


def _of_other_hubs(axle: Axle, cat: Catalogue) -> dict[Circle, int]:
    own = {wheel.code for wheel in selectors.wheels_for(cat, axle)}
    wanted = selectors.vehicle_class(axle.generation)
    found: dict[Circle, int] = {}
    for wheel in cat.wheels.values():
        if wheel.vehicle_class == wanted and wheel.code not in own:
            circle = (wheel.bolt_count, wheel.bolt_circle_mm)
            found[circle] = found.get(circle, 0) + 1
    return found
