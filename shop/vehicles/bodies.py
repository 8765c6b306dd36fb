"""Drawings to begin from, and what a vehicle's own measures say of its drawing."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from django.conf import settings

from configurator import fitment
from configurator.catalogue.fitting import original_tyre_data
from configurator.catalogue.models import Axle, Generation
from configurator.pictures import AxleMeasures, Body, BodyError, Measures, measures_of

FOLDER = settings.BASE_DIR / "fixtures" / "catalogue" / "bodies"
STYLE_OF = {"haldor-2": "van", "ambry-1": "van", "skarn-3": "pickup", "vireo-4": "car", "merle-2": "car",
            "whinchat-680": "motorcycle"}  # fmt: skip


@cache
def patterns() -> dict[str, Body]:
    """Return the drawings that come with the program, by code."""
    found = {}
    for path in sorted(FOLDER.glob("*.json")):
        found[path.stem] = Body.from_dict(json.loads(path.read_bytes()))
    return found


def own(generation: Generation) -> Body | None:
    """Return a generation's own drawing, if it has one that can be read."""
    try:
        return Body.from_dict(generation.body) if generation.body else None
    except BodyError:
        return None


def to_begin_from(generation: Generation) -> dict[str, tuple[str, Body]]:
    """Return drawings by code, each with its name: the vehicle's own, others drawn here, then patterns."""
    found: dict[str, tuple[str, Body]] = {}
    mine = own(generation)
    if mine:
        found[generation.code] = (str(generation), mine)
    drawn = Generation.objects.exclude(body={}).exclude(pk=generation.pk).select_related("maker")
    for row in drawn.order_by("maker__name", "name"):
        body = own(row)
        if body and row.body_style == generation.body_style:
            found[row.code] = (str(row), body)
    for code, body in patterns().items():
        if code not in found and STYLE_OF.get(code) == generation.body_style:
            found[code] = (body.name, body)
    return found


def measures_for(generation: Generation, start: Body) -> Measures:
    """Return the measures to begin with: those of the drawing, with what the vehicle's axles say already."""
    had = measures_of(start)
    axles: dict[str, Axle] = {axle.position: axle for axle in generation.axles.all()}
    changes: dict[str, Any] = {"code": generation.code, "name": str(generation)[:120]}
    for position in ("front", "rear"):
        measures: AxleMeasures = getattr(had, position)
        axle = axles.get(position)
        changes[position] = _of_axle(measures, axle) if axle else measures
    return had.model_copy(update=changes)


def _of_axle(had: AxleMeasures, axle: Axle) -> AxleMeasures:
    tyre = original_tyre_data(axle)
    width = axle.original_wheel_width_in
    original = had.original.model_copy(
        update={
            "wheel_diameter_in": axle.original_wheel_diameter_in,
            "wheel_width_in": width,
            "tyre_section_width_mm": fitment.drawn_width_mm(tyre, width),
            "tyre_overall_diameter_mm": fitment.drawn_diameter_mm(tyre),
            "effective_offset_mm": axle.original_wheel_offset_mm,
        }
    )
    changes: dict[str, Any] = {"original": original}
    if axle.bolt_count:
        changes["bolt_count"] = axle.bolt_count
    return had.model_copy(update=changes)
