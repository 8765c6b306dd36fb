"""The options and parts that one generation's rules may speak of: families, tags, prices, names."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from configurator.rules import Family

from . import models as m
from . import selectors
from .literals import POSITIONS, part_code, spacer_tags, tyre_tags, wheel_tags
from .snapshot import Catalogue


def option_families(catalogue: Catalogue, generation: m.Generation) -> Iterator[Family]:
    """Yield the families of the options that this generation offers."""
    for family, options in selectors.families_for(catalogue, generation):
        codes = tuple(option.code for option in options)
        yield Family(family.code, family.kind, codes, family.limit, family.name)  # type: ignore[arg-type]


def _axle_parts(catalogue: Catalogue, axle: m.Axle) -> dict[str, list[str]]:
    """Return the codes of the parts worth choosing on an axle, by kind."""
    return {
        "wheel": [wheel.code for wheel in selectors.wheels_for(catalogue, axle)],
        "tyre": [tyre.code for tyre in selectors.tyres_for(catalogue, axle.generation)],
        "spacer": [spacer.code for spacer in selectors.spacers_for(catalogue, axle)],
    }


def _axles(catalogue: Catalogue, generation: m.Generation) -> Iterator[m.Axle]:
    found = (catalogue.axles.get((generation.code, position)) for position in POSITIONS)
    return (axle for axle in found if axle is not None)


def part_families(catalogue: Catalogue, generation: m.Generation) -> Iterator[Family]:
    """Yield a family for each kind of part of each axle: the original, none, or one that suits."""
    for axle in _axles(catalogue, generation):
        for kind, codes in _axle_parts(catalogue, axle).items():
            options = (part_code(axle.position, kind, code) for code in (None, *codes))
            yield Family(f"{axle.position}-{kind}", "one", tuple(options), None, f"{axle.position} {kind}")


def tags_of(catalogue: Catalogue, generation: m.Generation) -> dict[str, list[str]]:
    """Return the options and parts that carry each tag, with the axle before the tag as well."""
    tagged: dict[str, list[str]] = {}
    for option in selectors.options_for(catalogue, generation):
        for tag in option.tags:
            tagged.setdefault(tag, []).append(option.code)
    for axle in _axles(catalogue, generation):
        for kind, codes in _axle_parts(catalogue, axle).items():
            for code in codes:
                literal = part_code(axle.position, kind, code)
                for tag in _part_tags(catalogue, kind, code):
                    tagged.setdefault(tag, []).append(literal)
                    tagged.setdefault(f"{axle.position}-{tag}", []).append(literal)
    return tagged


def _part_tags(catalogue: Catalogue, kind: str, code: str) -> tuple[str, ...]:
    if kind == "wheel":
        wheel = catalogue.wheels[code]
        return wheel_tags(wheel.finish.code, wheel.diameter_in, wheel.width_in)
    if kind == "tyre":
        return tyre_tags(catalogue.tyres[code].designation)
    spacer = catalogue.spacers[code]
    return spacer_tags(spacer.kind, spacer.thickness_mm)


def costs_of(catalogue: Catalogue, known: set[str]) -> dict[str, Decimal]:
    """Return what each option's parts cost, so that of two equal changes the cheaper one is proposed."""
    costs = {}
    for name in known:
        option = catalogue.options.get(name)
        if option is not None:
            costs[name] = option.item.unit_price * option.item_quantity if option.item else Decimal(0)
        elif (item := catalogue.items.get(name.partition(":")[2])) is not None:
            costs[name] = item.unit_price
    return costs


def names_of(catalogue: Catalogue, known: set[str]) -> dict[str, str]:
    """Return a name for people for every option that the engine has."""
    names = {}
    for option in known:
        position, _, rest = option.partition("-")
        kind, colon, code = rest.partition(":")
        if not colon:
            names[option] = catalogue.options[option].name
        elif code in ("original", "none"):
            names[option] = f"no {position} {kind}" if code == "none" else f"the original {position} {kind}"
        else:
            names[option] = f"{catalogue.items[code].name}, {position}"
    return names
