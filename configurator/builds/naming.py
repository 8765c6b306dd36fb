"""The label of every choice of a build, as frozen with it."""

from __future__ import annotations

from configurator.catalogue.literals import PART_KINDS
from configurator.catalogue.models import Option

from .build import Build, ChosenOption
from .sentences import say
from .tasks import BODY_COLOUR, COLOUR, JOB


def names(build: Build, *, has_work: bool) -> dict[str, str]:
    """Label every choice, in the order a customer reads the price; the job itself last where there is one."""
    found: dict[str, str] = {}
    for row in build.axles:
        for kind in PART_KINDS:
            if getattr(row, kind) is not None:
                found[row.token(kind)] = say("part_at", part=str(getattr(row, kind)), place=say(row.position))
    found |= {chosen.option.code: _option_name(chosen) for chosen in build.options}
    if build.is_mixed:
        found[COLOUR] = say("colour_mixed_for_you")
    if build.is_matched:
        found[BODY_COLOUR] = say("body_matched")
    if has_work or found:
        found[JOB] = say("book_in_and_close")
    return found


def _option_name(chosen: ChosenOption) -> str:
    if chosen.option.kind == Option.Kind.REMOVAL:
        return say("taken_off", part=chosen.option.name)
    if chosen.finish is None:
        return chosen.option.name
    return say("part_in_finish", part=chosen.option.name, finish=chosen.finish.name)
