"""From a selection to the look that the picture draws: colours, wheels, what is fitted and what is gone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from configurator import fitment
from configurator.catalogue.models import Option, Wheel
from configurator.pictures import FITTED, AxleLook, Body, BodyError, Look

from .build import AxleBuild, Build, ChosenOption
from .resolve import resolve
from .selection import Selection

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

UNCHOSEN_HEX = "#c4c9cc"
MOST_BODIES = 500


def body_of(generation: str, catalogue: Catalogue) -> Body | None:
    """Return the generation's drawing, checked once per catalogue; ``None`` when it has none."""
    return catalogue.once(
        "bodies", generation, lambda: _read(catalogue.generations[generation].body), most=MOST_BODIES
    )


def _read(data: object) -> Body | None:
    try:
        return Body.from_dict(data) if data else None
    except BodyError:
        return None


def look_of(selection: Selection, catalogue: Catalogue) -> tuple[Body, Look] | None:
    """Return body and look of a selection; ``None`` when there is no drawing of the vehicle."""
    build = resolve(selection, catalogue)
    if not isinstance(build, Build):
        return None
    body = body_of(selection.generation, catalogue)
    return (body, look_at_build(build, body, catalogue)) if body else None


def look_at_build(build: Build, body: Body, catalogue: Catalogue) -> Look:
    """Return the look; parts that the drawing does not have change nothing.

    A fact of the vehicle shows too: the sport bumper it has is drawn, the roof rails it has not are gone.
    """
    painted = {part: c.finish.hex for c in build.options if c.finish and (part := _part(c))}
    axles = {row.position: _axle(row, body, painted) for row in build.axles}
    originals = body.original_look()
    return Look(
        body_hex=build.body.hex if build.body else UNCHOSEN_HEX,
        front=axles.get("front", originals.front),
        rear=axles.get("rear", originals.rear),
        accent_hex=build.accent.hex if build.accent else originals.accent_hex,
        part_hex=painted,
        fitted=frozenset(part for part in _parts(build, removed=False) if part in FITTED)
        | _fact_parts(build.facts, catalogue),
        removed=frozenset(_parts(build, removed=True))
        | _fact_parts(set(build.generation.facts) - set(build.facts), catalogue),
    )


def _fact_parts(facts: Iterable[str], catalogue: Catalogue) -> frozenset[str]:
    """Return the shapes that these facts name."""
    parts = (catalogue.options[code].picture_part.replace("-", "_") for code in facts)
    return frozenset(part for part in parts if part)


def _parts(build: Build, *, removed: bool) -> Iterator[str]:
    """Yield the shapes that the removals, or everything else, name."""
    for chosen in build.options:
        part = _part(chosen)
        if part and (chosen.option.kind == Option.Kind.REMOVAL) == removed:
            yield part


def _part(chosen: ChosenOption) -> str:
    return chosen.option.picture_part.replace("-", "_")


def _axle(row: AxleBuild, body: Body, painted: dict[str, str]) -> AxleLook:
    """Return what stands on one axle: the parts chosen, and for the rest the original's."""
    original = body.axle(row.position).original.look()
    caliper = painted.get(f"caliper_{row.position}", original.caliper_hex)
    wheel_in, width_in, offset_mm, design, hex_ = _wheel(row.wheel, original)
    tyre = fitment.parse_tyre(row.tyre.designation if row.tyre else row.axle.original_tyre)
    spacer_mm = row.spacer.thickness_mm if row.spacer else 0.0
    return AxleLook(
        wheel_diameter_in=wheel_in,
        wheel_width_in=width_in,
        wheel_design=design,
        wheel_hex=hex_,
        tyre_section_width_mm=fitment.drawn_width_mm(tyre, width_in),
        tyre_overall_diameter_mm=fitment.drawn_diameter_mm(tyre),
        effective_offset_mm=offset_mm - spacer_mm,
        caliper_hex=caliper,
        spacer_mm=spacer_mm,
    )


def _wheel(wheel: Wheel | None, original: AxleLook) -> tuple[float, float, float, str, str]:
    if wheel is None:
        o = original
        return o.wheel_diameter_in, o.wheel_width_in, o.effective_offset_mm, o.wheel_design, o.wheel_hex
    offset_mm = original.effective_offset_mm if wheel.offset_mm is None else wheel.offset_mm
    return wheel.diameter_in, wheel.width_in, offset_mm, wheel.design, wheel.finish.hex
