"""Catalogue rows as the plain values that fitment judges. What is empty here is unknown there."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from django.db.models import Model

from configurator.fitment import Axle, Fastener, OriginalWheel, Spacer, Tyre, Vehicle, Wheel, parse_tyre

from . import models as m


def _shared(part: type, table: type[Model], *apart: str) -> tuple[str, ...]:
    """Return the fields that a fitment part and a table have by the same name, but for those named."""
    columns = {field.name for field in table._meta.fields}
    return tuple(field.name for field in fields(part) if field.name in columns.difference(apart))


_AXLE = _shared(Axle, m.Axle, "original_tyre", "brake_envelope_mm")
_WHEEL = _shared(Wheel, m.Wheel, "inside_profile_mm")
_SPACER = _shared(Spacer, m.Spacer)
_FASTENER = _shared(Fastener, m.Fastener)
_BOLT_CLASS = {"8": "8.8", "10": "10.9", "12": "12.9"}
"""ISO 898-2: a nut's class is named after the bolt that it is made for."""


def axle_data(axle: m.Axle) -> Axle:
    """Return an axle for fitment, with its generation's top speed and speedometer."""
    return Axle(
        **_known(axle, _AXLE),
        max_speed_kmh=axle.generation.max_speed_kmh,
        speedometer_reads_high_pct=axle.generation.speedometer_reads_high_pct,
        original_wheel=OriginalWheel(
            width_in=axle.original_wheel_width_in,
            diameter_in=axle.original_wheel_diameter_in,
            offset_mm=axle.original_wheel_offset_mm,
        ),
        original_tyre=original_tyre_data(axle),
        brake_envelope_mm=_points(axle.brake_envelope_mm),
    )


def original_wheel_data(axle: m.Axle) -> Wheel:
    """Return the wheel that the vehicle came with: it fits its own hub, rating and brakes by definition.

    Its inside was never drawn for us, but the maker cleared the brakes with it and a spacer only adds room,
    so a profile at the least clearance stands for it.
    """
    return Wheel(
        width_in=axle.original_wheel_width_in,
        diameter_in=axle.original_wheel_diameter_in,
        offset_mm=axle.original_wheel_offset_mm,
        bolt_count=axle.bolt_count,
        bolt_circle_mm=axle.bolt_circle_mm,
        bore_mm=axle.spigot_diameter_mm,
        seat=axle.seat or None,
        seat_thickness_mm=axle.original_seat_thickness_mm,
        load_rating_kg=None if axle.axle_load_kg is None else axle.axle_load_kg / axle.wheels,
        inside_profile_mm=_profile_around(axle),
        fitted_inside_mm=0.0,
        tolerance_mm=0.0,
    )


def wheel_data(wheel: m.Wheel) -> Wheel:
    """Return a wheel for fitment."""
    return Wheel(**_known(wheel, _WHEEL), inside_profile_mm=_points(wheel.inside_profile_mm))


def tyre_data(tyre: m.Tyre) -> Tyre:
    """Return a tyre for fitment, as its designation states it; a motorcycle's even without its mark."""
    return _of_class(parse_tyre(tyre.designation), tyre.vehicle_class)


def original_tyre_data(axle: m.Axle) -> Tyre:
    """Return the tyre that the vehicle came with."""
    single = axle.generation.body_style == m.Generation.BodyStyle.MOTORCYCLE
    return _of_class(parse_tyre(axle.original_tyre), "motorcycle" if single else "car")


def vehicle_data(generation: m.Generation) -> Vehicle:
    """Return what decides how far the axles' circumferences may part."""
    return Vehicle(**_known(generation, ("drive", "axle_ratio_limit_pct")))


def _of_class(tyre: Tyre, vehicle_class: str) -> Tyre:
    return replace(tyre, motorcycle=tyre.motorcycle or vehicle_class == "motorcycle")


def spacer_data(spacer: m.Spacer) -> Spacer:
    """Return a spacer for fitment."""
    return Spacer(**_known(spacer, _SPACER))


def fastener_data(fastener: m.Fastener) -> Fastener:
    """Return a fastener for fitment; a nut's class is told by the bolt it is made for."""
    data = _known(fastener, _FASTENER)
    found = data["property_class"]
    return Fastener(**{**data, "property_class": _BOLT_CLASS.get(found, found)})


def _known(row: Any, names: tuple[str, ...]) -> dict[str, Any]:
    """Return the named fields; an empty text is not known."""
    return {name: None if getattr(row, name) == "" else getattr(row, name) for name in names}


def _points(pairs: Any) -> tuple[tuple[float, float], ...] | None:
    """Return [radius, y] pairs as tuples, or None for no drawing."""
    return tuple((float(r), float(y)) for r, y in pairs) if pairs else None


def _profile_around(axle: m.Axle) -> tuple[tuple[float, float], ...] | None:
    """Return a profile that clears the axle's brakes everywhere by more than the tolerances."""
    envelope = _points(axle.brake_envelope_mm)
    if envelope is None:
        return None
    room = 3.0 + axle.tolerance_mm + 1.0
    radius = max(r for r, _ in envelope) + room
    return (
        (radius, min(y for _, y in envelope) - 80),
        (radius, max(y for _, y in envelope) + room),
        (40.0, max(y for _, y in envelope) + room),
    )
