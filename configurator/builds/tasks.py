"""Which recipes a build calls for, for which choice, and what is tightened again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from configurator.catalogue.models import Axle, Recipe

from .build import Build, ChosenOption
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


JOB = "job"
COLOUR = "accent"
"""The choice to have a colour mixed."""


@dataclass(frozen=True)
class Tightening:
    """What is tightened on one axle, and to which torque in N m; ``fasteners`` is 0 where it is not known."""

    torque_nm: float
    fasteners: int


@dataclass
class Task:
    """One choice's use of a recipe, with what its hours depend on.

    ``tightened`` says by axle what is tightened again, for every axle whose wheels the choice has off.
    """

    choice: str
    name: str
    recipe: Recipe
    option: ChosenOption | None = None
    axle: str = ""
    wheels: int = 0
    tightened: dict[str, Tightening] = field(default_factory=dict)


def tasks(build: Build, catalogue: Catalogue, *, rings: Iterable[str] = ()) -> list[Task]:
    """Return which recipes the build calls for; ``rings`` names axles that get centring rings."""
    by_cover: dict[str, list[Recipe]] = {}
    for recipe in catalogue.recipes.values():
        by_cover.setdefault(recipe.covers, []).append(recipe)
    found = _axle_tasks(build, by_cover, set(rings))
    # "Wheels off" is said of the whole vehicle, so painting calipers has every axle tightened again.
    torques = {row.position: tight for row in build.axles if (tight := _tightening(row.axle))}
    found += [
        Task(chosen.option.code, chosen.option.name, chosen.recipe, chosen, tightened=torques)
        for chosen in build.options
        if chosen.recipe
    ]
    if build.is_mixed:
        name = say("colour_mixed_for_you")
        found += [Task(COLOUR, name, recipe) for recipe in by_cover.get(Recipe.Covers.MIXED, [])]
    if found:
        found += [Task(JOB, say("every_job"), recipe) for recipe in by_cover.get(Recipe.Covers.JOB, [])]
    return found


def _tightening(axle: Axle) -> Tightening | None:
    """Return what is tightened when this axle's wheels go on; nothing without a torque in the catalogue."""
    if not axle.torque_nm:
        return None
    if axle.mounting != "bolted":
        return Tightening(axle.torque_nm, axle.wheels)
    return Tightening(axle.torque_nm, axle.wheels * (axle.bolt_count or 0))


def _axle_tasks(build: Build, by_cover: dict[str, list[Recipe]], rings: set[str]) -> list[Task]:
    found = []
    for row in build.axles:
        for kind, cover in (("wheel", "wheels"), ("tyre", "tyres"), ("spacer", "spacers")):
            part = getattr(row, kind)
            if part is None:
                continue
            covers = [cover, "rings"] if kind == "wheel" and row.position in rings else [cover]
            for recipe in (recipe for name in covers for recipe in by_cover.get(name, [])):
                task = Task(row.token(kind), str(part), recipe, axle=row.position, wheels=row.axle.wheels)
                tightened = _tightening(row.axle)
                task.tightened = {row.position: tightened} if tightened else {}
                found.append(task)
    return found
