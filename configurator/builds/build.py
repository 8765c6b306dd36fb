"""A build: a selection with the catalogue rows that it names, and what could not be resolved."""

from __future__ import annotations

from dataclasses import dataclass, field

from configurator.catalogue.models import (
    Axle,
    Finish,
    Generation,
    Option,
    PaintSystem,
    Recipe,
    Spacer,
    Tyre,
    Wheel,
)

from .evaluation import Problem
from .selection import ACCENT, BODY, MIXED, Selection
from .sentences import say


@dataclass
class AxleBuild:
    """One axle with the rows chosen for it; ``None`` keeps what is there."""

    position: str
    axle: Axle
    wheel: Wheel | None = None
    tyre: Tyre | None = None
    spacer: Spacer | None = None

    @property
    def changed(self) -> bool:
        """Whether anything is chosen for this axle."""
        return bool(self.wheel or self.tyre or self.spacer)

    def token(self, kind: str) -> str:
        """Return the choice's id as rules and parts lists write it, such as ``front-wheel:w1``."""
        part = getattr(self, kind)
        return f"{self.position}-{kind}:{part.code}"


@dataclass
class ChosenOption:
    """An option with its recipe, its paint and the finish it is to have (``None``: not painted)."""

    option: Option
    recipe: Recipe | None = None
    system: PaintSystem | None = None
    finish: Finish | None = None
    finish_choice: str = ""


@dataclass
class Build:
    """A selection with its rows; ``problems`` tells what could not be resolved."""

    selection: Selection
    generation: Generation
    axles: list[AxleBuild] = field(default_factory=list)
    options: list[ChosenOption] = field(default_factory=list)
    facts: list[str] = field(default_factory=list)
    body: Finish | None = None
    accent: Finish | None = None
    problems: list[Problem] = field(default_factory=list)

    @property
    def is_mixed(self) -> bool:
        """Whether something is painted in a colour that is mixed to the customer's wish."""
        mixed = bool(self.selection.accent_wanted_hex) and self.selection.accent_way == MIXED
        return mixed and any(chosen.finish_choice == ACCENT for chosen in self.options)

    @property
    def is_matched(self) -> bool:
        """Whether something is painted in a body colour that is none of ours: it is matched by its code."""
        by_code = self.selection.body_hex is not None
        return by_code and any(chosen.finish_choice == BODY and chosen.finish for chosen in self.options)

    def problem(self, name: str, message: str, *, choice: str = "", asks: bool = False) -> None:
        """Note a problem with the field called ``name``, for an option where it is about one."""
        self.problems.append(Problem(field=name, message=message, choice=choice, asks=asks))


def vehicle_name(generation: Generation) -> str:
    """Return maker and generation, such as ``Brannvik Haldor II``."""
    return say("vehicle_name", maker=generation.maker.name, generation=generation.name)
