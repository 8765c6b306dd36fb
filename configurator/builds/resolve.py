"""From codes to catalogue rows, gathering every problem with the field that caused it."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING, TypeVar

from configurator.catalogue import selectors
from configurator.catalogue.models import (
    Family,
    Finish,
    Option,
    Spacer,
    Tyre,
    Wheel,
)
from configurator.catalogue.related import rows_of

from .build import AxleBuild, Build, ChosenOption, vehicle_name
from .evaluation import Problem
from .selection import ACCENT, BODY, MIXED, NEAREST, POSITIONS, Selection
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


T = TypeVar("T", Wheel, Tyre, Spacer)


def resolve(selection: Selection, catalogue: Catalogue) -> Build | Problem:
    """Return the build, or the one problem that leaves nothing to look at: an unknown vehicle."""
    generation = catalogue.generations.get(selection.generation)
    if generation is None:
        return Problem(field="generation", message=say("unknown_vehicle"))
    build = Build(selection, generation)
    _resolve_colours(build, catalogue)
    for position in POSITIONS:
        _resolve_axle(build, position, catalogue)
    for code in selection.options:
        _resolve_option(build, code, catalogue)
    _add_usual_facts(build, catalogue)
    _check_finishes_named(build)
    return build


def _add_usual_facts(build: Build, catalogue: Catalogue) -> None:
    """Add what this generation has as a rule, unless the customer stated the other case of it.

    A stated sport bumper stands in place of the standard bumper: both belong to a one-of family.
    """
    stated = {catalogue.options[code].family_id for code in build.facts}
    for code in build.generation.facts:
        family = catalogue.options[code].family
        replaced = family.kind == Family.Kind.ONE and family.pk in stated
        if code not in build.facts and not replaced:
            build.facts.append(code)


def _resolve_colours(build: Build, catalogue: Catalogue) -> None:
    selection = build.selection
    if selection.body_hex is not None:
        build.body = _by_code(build, catalogue)
    elif selection.body_finish is not None:
        body = {finish.code: finish for finish in rows_of(build.generation, "body_finishes")}
        build.body = body.get(selection.body_finish)
        if build.body is None:
            build.problem("body_finish", say("no_such_colour", vehicle=vehicle_name(build.generation)))
    if selection.accent is not None:
        accent = catalogue.finishes.get(selection.accent)
        if accent is None or accent.role != Finish.Role.ACCENT:
            build.problem("accent", say("no_such_accent"))
        else:
            build.accent = _wished(selection, accent)


def _by_code(build: Build, catalogue: Catalogue) -> Finish | None:
    """Return a body colour that is none of the listed ones, in about its tone."""
    selection, ours = build.selection, rows_of(build.generation, "body_finishes")
    like = next(iter(ours), None)
    like = like or next((one for one in catalogue.finishes.values() if one.role == Finish.Role.BODY), None)
    if like is None or selection.body_hex is None:
        return None
    made = copy.copy(like)
    made.pk, made.code, made.hex, made.paint_code = None, "by-code", selection.body_hex, selection.body_code
    code = selection.body_code
    made.name = say("body_by_code", code=code) if code else say("body_code_to_read")
    return made


def _to_match(build: Build) -> Finish | None:
    """Return the body colour as parts are painted in it: one by code is still to be matched."""
    if build.body is None or build.selection.body_hex is None:
        return build.body
    made = copy.copy(build.body)
    code = build.selection.body_code
    made.name = say("paint_by_code", code=code) if code else say("paint_to_match")
    return made


def _wished(selection: Selection, nearest: Finish) -> Finish:
    """Return the accent as it is to be: the paint itself, one mixed to the wish, or one to be settled."""
    wanted = selection.accent_wanted_hex
    if wanted is None or selection.accent_way == NEAREST:
        return nearest
    made = copy.copy(nearest)
    if selection.accent_way == MIXED:
        made.pk, made.code, made.paint_code = None, f"mixed-{wanted[1:]}", ""
        made.hex, made.name = wanted, say("mixed_colour", colour=wanted)
    else:
        made.name = say("colour_to_settle", colour=wanted, finish=nearest.name)
    return made


def _resolve_axle(build: Build, position: str, catalogue: Catalogue) -> None:
    axle = catalogue.axles.get((build.generation.code, position))
    chosen = build.selection.axle(position)
    if axle is None:
        if chosen.wheel or chosen.tyre or chosen.spacer:
            build.problem(
                f"{position}.wheel", say(f"no_{position}_axle", vehicle=vehicle_name(build.generation))
            )
        return
    row = AxleBuild(position, axle)
    row.wheel = _part(build, catalogue.wheels, chosen.wheel, f"{position}.wheel", "wheel")
    row.tyre = _part(build, catalogue.tyres, chosen.tyre, f"{position}.tyre", "tyre")
    row.spacer = _part(build, catalogue.spacers, chosen.spacer, f"{position}.spacer", "spacer")
    if row.spacer and not build.generation.takes_spacers:
        build.problem(f"{position}.spacer", say("takes_no_spacers", vehicle=vehicle_name(build.generation)))
        row.spacer = None
    build.axles.append(row)


def _part(build: Build, known: dict[str, T], code: str | None, name: str, kind: str) -> T | None:
    """Return the part, or note why it cannot be had for this vehicle."""
    if code is None:
        return None
    part = known.get(code)
    if part is None:
        build.problem(name, say(f"unknown_{kind}"))
        return None
    if getattr(part, "vehicle_class", selectors.CAR) != selectors.vehicle_class(build.generation):
        build.problem(name, say("other_vehicle_class", part=str(part)))
        return None
    return part


def _resolve_option(build: Build, code: str, catalogue: Catalogue) -> None:
    option = catalogue.options.get(code)
    if option is None:
        build.problem("options", say("unknown_option", code=code))
        return
    if not selectors.is_offered(option, build.generation):
        build.problem(
            "options", say("not_made_for", part=option.name, vehicle=vehicle_name(build.generation))
        )
        return
    if option.kind == Option.Kind.FACT:
        build.facts.append(option.code)
        return
    chosen = ChosenOption(option)
    if option.recipe:
        chosen.recipe = catalogue.recipes[option.recipe.code]
    if option.paint_system:
        chosen.system = catalogue.paint_systems[option.paint_system.code]
    _resolve_finish(build, chosen, catalogue)
    build.options.append(chosen)


def _resolve_finish(build: Build, chosen: ChosenOption, catalogue: Catalogue) -> None:
    option = chosen.option
    if not option.finish_choices:
        return
    wanted = build.selection.finishes.get(option.code, option.finish_choices[0])
    if wanted not in option.finish_choices:
        build.problem(f"finishes.{option.code}", say("not_in_finish", part=option.name))
        return
    chosen.finish_choice = wanted
    chosen.finish = _heat_version(_named_finish(build, option, wanted, catalogue), chosen, catalogue)


def _named_finish(build: Build, option: Option, wanted: str, catalogue: Catalogue) -> Finish | None:
    """Return the finish that ``body``, ``accent`` or a code stands for, or note that it is not chosen."""
    if wanted == BODY:
        if not build.selection.body_is_said:
            asked = say("needs_body_colour", part=option.name)
            build.problem("body_finish", asked, choice=option.code, asks=True)
        return _to_match(build)
    if wanted == ACCENT:
        if build.selection.accent is None:
            asked = say("needs_accent", part=option.name)
            build.problem("accent", asked, choice=option.code, asks=True)
        return build.accent
    return catalogue.finishes[wanted]


def _heat_version(finish: Finish | None, chosen: ChosenOption, catalogue: Catalogue) -> Finish | None:
    """Return the finish's heat-resistant version where the part's paint system is one for heat."""
    if finish is None or chosen.system is None or chosen.system.max_temperature_c is None:
        return finish
    heat = selectors.heat_version(catalogue, finish) or finish
    if heat is finish or finish.name == catalogue.finishes[finish.code].name:
        return heat
    # Still to be settled: the heat-resistant version is no more decided than the colour.
    made = copy.copy(heat)
    made.name = finish.name
    return made


def _check_finishes_named(build: Build) -> None:
    chosen = set(build.selection.options)
    for code in build.selection.finishes:
        if code not in chosen:
            build.problem(f"finishes.{code}", say("finish_of_nothing"))
