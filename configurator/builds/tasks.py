"""Which recipes a build calls for, for which choice, and what is tightened again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from configurator.catalogue.models import Axle, Recipe

from .build import AxleBuild, Build, ChosenOption
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


JOB = "job"
COLOUR = "accent"
"""The choice to have a colour mixed."""
BODY_COLOUR = "body"
"""What painting in a body colour asks for that is none of ours: it is matched by its code."""


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
    has_rings = set(rings)
    found = [
        task
        for row in build.axles
        for task in axle_tasks(row, catalogue, has_rings=row.position in has_rings)
    ]
    found += [task for chosen in build.options for task in option_tasks(chosen, build)]
    if build.is_mixed:
        found += mixing_tasks(catalogue)
    if build.is_matched:
        found += matching_tasks(catalogue)
    return found + job_tasks(catalogue) if found else found


def option_tasks(chosen: ChosenOption, build: Build) -> list[Task]:
    """Return what an option calls for.

    "Wheels off" is said of the whole vehicle, so painting calipers has every axle tightened again.
    """
    if not chosen.recipe:
        return []
    torques = {row.position: tight for row in build.axles if (tight := _tightening(row.axle))}
    return [Task(chosen.option.code, chosen.option.name, chosen.recipe, chosen, tightened=torques)]


def mixing_tasks(catalogue: Catalogue) -> list[Task]:
    """Return what having a colour mixed calls for."""
    name = say("colour_mixed_for_you")
    return [Task(COLOUR, name, recipe) for recipe in _covering(Recipe.Covers.MIXED, catalogue)]


def matching_tasks(catalogue: Catalogue) -> list[Task]:
    """Return what matching a body colour calls for; as for a wish where the workshop has no recipe for it."""
    covers = Recipe.Covers
    recipes = _covering(covers.MATCHED, catalogue) or _covering(covers.MIXED, catalogue)
    return [Task(BODY_COLOUR, say("body_matched"), recipe) for recipe in recipes]


def job_tasks(catalogue: Catalogue) -> list[Task]:
    """Return what every job calls for, whatever is chosen."""
    return [Task(JOB, say("every_job"), recipe) for recipe in _covering(Recipe.Covers.JOB, catalogue)]


def _covering(cover: str, catalogue: Catalogue) -> list[Recipe]:
    """Return the recipes of what every build of some kind needs, in the catalogue's order."""
    recipes = catalogue.recipes.values()
    return catalogue.once(
        "recipes by cover", cover, lambda: [one for one in recipes if one.covers == cover], most=100
    )


def _tightening(axle: Axle) -> Tightening | None:
    """Return what is tightened when this axle's wheels go on; nothing without a torque in the catalogue."""
    if not axle.torque_nm:
        return None
    if axle.mounting != "bolted":
        return Tightening(axle.torque_nm, axle.wheels)
    return Tightening(axle.torque_nm, axle.wheels * (axle.bolt_count or 0))


def axle_tasks(row: AxleBuild, catalogue: Catalogue, *, has_rings: bool) -> list[Task]:
    """Return what the parts chosen for one axle call for."""
    found = []
    ringed = ("wheel" if row.wheel else "spacer") if has_rings else ""
    for kind, cover in (("wheel", "wheels"), ("tyre", "tyres"), ("spacer", "spacers")):
        part = getattr(row, kind)
        if part is None:
            continue
        covers = [cover, "rings"] if kind == ringed else [cover]
        for recipe in (recipe for name in covers for recipe in _covering(name, catalogue)):
            task = Task(row.token(kind), str(part), recipe, axle=row.position, wheels=row.axle.wheels)
            tightened = _tightening(row.axle)
            task.tightened = {row.position: tightened} if tightened else {}
            found.append(task)
    return found
