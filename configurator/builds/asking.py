"""How rules are asked about a build: every choice under the id that they know it by."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from configurator.catalogue import ruleset
from configurator.catalogue.literals import PART_KINDS, part_code

from .build import Build
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.ruleset import Ruleset
    from configurator.catalogue.snapshot import Catalogue


@dataclass(frozen=True)
class Asking:
    """A build as the engine is asked about it: every choice by the option that stands for it there.

    ``real`` leads back from what stands for a part to the part that was chosen.
    """

    rules: Ruleset
    chosen: list[str]
    real: dict[str, str]
    catalogue: Catalogue

    def told(self, options: Iterable[str]) -> tuple[str, ...]:
        """Return options of the engine as the choices they are."""
        return tuple(self.real.get(option, option) for option in options)

    def names(self, options: Iterable[str]) -> tuple[str, ...]:
        """Return the names of choices."""
        return tuple(name_of(option, self.catalogue) for option in options)


def asking(build: Build, catalogue: Catalogue) -> Asking:
    """Return the build under the ids that rules know it by; unknown parts are left out."""
    rules = ruleset.for_generation(catalogue, build.generation)
    ids = [*build.facts, *(chosen.option.code for chosen in build.options)]
    for row in build.axles:
        for kind in PART_KINDS:
            part = getattr(row, kind)
            ids.append(part_code(row.position, kind, part.code if part else None))
    real = {rules.alike[option]: option for option in ids if rules.knows(option)}
    return Asking(rules, list(real), real, catalogue)


def name_of(option: str, catalogue: Catalogue) -> str:
    """Return what an option or a part of an axle is called, such as ``front-wheel:CODE``."""
    place, colon, code = option.partition(":")
    if not colon:
        return catalogue.options[option].name
    position, _dash, kind = place.partition("-")
    if code in ("original", "none"):
        return say(f"{'no' if code == 'none' else 'original'}_{position}_{kind}")
    return say("part_at", part=catalogue.items[code].name, place=say(position))
