"""The accent colour: nearest paint to a free colour, and warnings where it hardly shows."""

from __future__ import annotations

from collections.abc import Iterable

from configurator.catalogue.models import Finish
from configurator.colour import delta_e_2000, hardly_distinguishable, hex_to_lab, nearest

from .build import Build
from .evaluation import ColourChoice
from .sentences import say


def nearest_accents(wanted_hex: str, finishes: Iterable[Finish]) -> list[tuple[Finish, float]]:
    """Return the workshop's accent paints by CIEDE2000 difference from the wanted colour."""
    accents = {f.code: f for f in finishes if f.role == Finish.Role.ACCENT}
    ranked = nearest(wanted_hex, {code: finish.hex for code, finish in accents.items()})
    return [(accents[code], difference) for code, difference in ranked]


def accent_choice(build: Build) -> ColourChoice | None:
    """Return the accent as chosen, its difference from the wanted colour, and what to warn of."""
    accent = build.accent
    if accent is None:
        return None
    wanted = build.selection.accent_wanted_hex
    difference = None
    if wanted is not None:
        difference = round(float(delta_e_2000(hex_to_lab(wanted), hex_to_lab(accent.hex))), 2)
    return ColourChoice(
        finish=accent.code,
        name=accent.name,
        hex=accent.hex,
        paint_code=accent.paint_code,
        wanted_hex=wanted,
        difference=difference,
        way=build.selection.accent_way if wanted else "",
        warnings=tuple(_warnings(build, accent)),
    )


def _warnings(build: Build, accent: Finish) -> Iterable[str]:
    if build.body and hardly_distinguishable(accent.hex, build.body.hex):
        yield say("hardly_on_body", accent=accent.name, body=build.body.name)
    wheels = {row.wheel.finish.code: row.wheel.finish for row in build.axles if row.wheel}
    for finish in wheels.values():
        if hardly_distinguishable(accent.hex, finish.hex):
            yield say("hardly_on_wheels", accent=accent.name, finish=finish.name)
