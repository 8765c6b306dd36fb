"""Reading the catalogue: what a generation can have, from the snapshot and without a query."""

from __future__ import annotations

from collections.abc import Iterable

from . import models as m
from .fitting import (
    axle_data,
    fastener_data,
    original_wheel_data,
    spacer_data,
    tyre_data,
    wheel_data,
)
from .related import rows_of
from .snapshot import Catalogue

__all__ = [
    "MEASURED",
    "accents",
    "axle_data",
    "families_for",
    "fastener_data",
    "heat_version",
    "is_offered",
    "options_for",
    "original_wheel_data",
    "spacer_data",
    "spacers_for",
    "tyre_data",
    "tyres_for",
    "unmeasured_axles",
    "vehicle_class",
    "wheel_data",
    "wheels_for",
]

SAME_MM = 0.1
CAR, MOTORCYCLE = "car", "motorcycle"


MEASURED = ("arch_lip_mm", "strut_face_mm", "brake_envelope_mm")
"""Without these every fit on an axle is unknown."""


def unmeasured_axles(catalogue: Catalogue, code: str) -> list[str]:
    """Return which axles of a generation, ``front`` and ``rear``, still lack what every fit asks for."""
    return [
        position
        for position in ("front", "rear")
        if any(getattr(catalogue.axles.get((code, position)), name, None) is None for name in MEASURED)
    ]


def vehicle_class(generation: m.Generation) -> str:
    """Return ``car`` or ``motorcycle``, as wheels and tyres are classed."""
    return MOTORCYCLE if generation.body_style == m.Generation.BodyStyle.MOTORCYCLE else CAR


def is_offered(option: m.Option, generation: m.Generation) -> bool:
    """Whether the option is made for the generation; one that names none is made for all."""
    made_for = rows_of(option, "generations")
    return not made_for or any(other.pk == generation.pk for other in made_for)


def options_for(catalogue: Catalogue, generation: m.Generation) -> list[m.Option]:
    """Return the generation's options in the order of their families."""
    return [option for option in catalogue.options.values() if is_offered(option, generation)]


def families_for(catalogue: Catalogue, generation: m.Generation) -> list[tuple[m.Family, list[m.Option]]]:
    """Return the families that have options for the generation, each with them, in order."""
    grouped: dict[str, list[m.Option]] = {}
    for option in options_for(catalogue, generation):
        grouped.setdefault(option.family.code, []).append(option)
    return [(family, grouped[code]) for code, family in catalogue.families.items() if code in grouped]


def wheels_for(catalogue: Catalogue, axle: m.Axle) -> list[m.Wheel]:
    """Return the wheels worth judging on an axle: its class and its bolt circle, or one that a
    stocked bolt-on spacer makes of it."""
    circles = _circles(catalogue, axle)
    wanted = vehicle_class(axle.generation)
    return [
        wheel
        for wheel in catalogue.wheels.values()
        if wheel.vehicle_class == wanted and _is_among(wheel.bolt_count, wheel.bolt_circle_mm, circles)
    ]


def tyres_for(
    catalogue: Catalogue, generation: m.Generation, rim_diameter_in: float | None = None
) -> list[m.Tyre]:
    """Return the tyres of the generation's class, only those of one rim diameter if it is given."""
    wanted = vehicle_class(generation)
    found = [tyre for tyre in catalogue.tyres.values() if tyre.vehicle_class == wanted]
    if rim_diameter_in is None:
        return found
    return [tyre for tyre in found if tyre_data(tyre).rim_diameter_in == rim_diameter_in]


def spacers_for(catalogue: Catalogue, axle: m.Axle) -> list[m.Spacer]:
    """Return the spacers with the axle's bolt circle and bore, thinnest first; none where none may be."""
    if not axle.generation.takes_spacers or axle.bolt_circle_mm is None:
        return []
    own = [(axle.bolt_count, axle.bolt_circle_mm)]
    found = [
        spacer
        for spacer in catalogue.spacers.values()
        if _is_among(spacer.bolt_count, spacer.bolt_circle_mm, own)
        and (spacer.bore_mm is None or abs(spacer.bore_mm - (axle.spigot_diameter_mm or 0)) <= SAME_MM)
    ]
    return sorted(found, key=lambda spacer: (spacer.thickness_mm, spacer.kind, spacer.code))


def accents(catalogue: Catalogue) -> list[m.Finish]:
    """Return the accent colours."""
    return [finish for finish in catalogue.finishes.values() if finish.role == m.Finish.Role.ACCENT]


def heat_version(catalogue: Catalogue, finish: m.Finish) -> m.Finish | None:
    """Return the heat-resistant finish of the same colour; a heat-resistant one is its own."""
    if finish.role == m.Finish.Role.HEAT or finish.pk is None:
        return finish
    return next(
        (other for other in catalogue.finishes.values() if other.same_colour_as_id == finish.pk), None
    )


Circle = tuple[int | None, float | None]


def _circles(catalogue: Catalogue, axle: m.Axle) -> list[Circle]:
    """Return hole count and circle of the hub, and those that stocked spacers turn it into."""
    turned = [
        (spacer.bolt_count, spacer.wheel_bolt_circle_mm)
        for spacer in spacers_for(catalogue, axle)
        if spacer.wheel_bolt_circle_mm is not None
    ]
    return [(axle.bolt_count, axle.bolt_circle_mm), *turned]


def _is_among(count: int | None, circle_mm: float | None, circles: Iterable[Circle]) -> bool:
    """Whether count and circle agree with one of those; a centre axle has neither."""
    return any(
        count == other
        and (circle_mm is None) == (other_mm is None)
        and abs((circle_mm or 0) - (other_mm or 0)) <= SAME_MM
        for other, other_mm in circles
    )
