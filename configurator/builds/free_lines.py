"""Free lines as work: what a person wrote on a job, as steps among the build's own.

Hours are working hours.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from configurator.catalogue.models import Recipe

from .evaluation import Evaluation, WorkStep
from .sentences import say
from .tasks import JOB, Task
from .work import STAGE_ORDER, plan

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

PREFIX = "line-"
CLOSING = ("wash", "final check")
OFF_H, ON_H = 0.2, 0.3
"""Hands-on hours to take the wheels of one axle off, and to tighten them again with a torque wrench."""


@dataclass(frozen=True)
class WheelsOff:
    """One axle whose wheels come off for a line: tightened to ``torque_nm``, so many ``fasteners``."""

    axle: str
    torque_nm: float
    fasteners: int


@dataclass(frozen=True)
class FreeLine:
    """One line that a person wrote. Without hours it is a price alone; a price may be below nothing never.

    ``number`` tells a job's lines apart for good; ``hands_on_h`` are working hours, ``wait_h`` hours of
    drying or curing after them.
    """

    number: int
    label: str
    amount: Decimal
    hands_on_h: float = 0.0
    wait_h: float = 0.0
    stage: str = "refit"
    resource: str = "bay"
    caution: str = ""
    wheels: tuple[WheelsOff, ...] = ()

    @property
    def key(self) -> str:
        """The line's name among choices and steps."""
        return f"{PREFIX}{self.number}"


def frame_of(catalogue: Catalogue) -> tuple[WorkStep, ...]:
    """Return the work that goes with every job, as the catalogue's recipes have it."""
    tasks = [
        Task(JOB, say("every_job"), recipe)
        for recipe in catalogue.recipes.values()
        if recipe.covers == Recipe.Covers.JOB
    ]
    hours = float(catalogue.workshop.hours_per_day) if catalogue.workshop else 8.0
    return plan(tasks, hours).steps


def joined(bare: Evaluation, lines: list[FreeLine], frame: tuple[WorkStep, ...]) -> list[WorkStep]:
    """Put the lines' steps among the build's, in the order of their stages, before everything that closes."""
    begun = list(bare.work.steps) if bare.work else list(frame)
    own = [step for line in lines for step in _steps(line, begun)]
    opening = tuple(step.key for step in begun if step.stage == "book-in")
    if not bare.work and not own:
        return []
    own = [step if step.after else step.model_copy(update={"after": opening}) for step in own]
    waited_for = {key for step in own for key in step.after}
    last = {step.key for step in own} - waited_for
    closing = [step.key for step in begun if step.stage in CLOSING]
    steps = [
        step.model_copy(update={"after": tuple(sorted({*step.after, *last}))})
        if closing and step.key == closing[0]
        else step
        for step in begun
    ]
    # Steps sort by stage alone: what one line has in one stage keeps its order.
    return sorted([*steps, *own], key=lambda step: STAGE_ORDER[step.stage])


def _steps(line: FreeLine, begun: list[WorkStep]) -> list[WorkStep]:
    """Return one line's steps: wheels off, the work, wheels on to torque.

    Wheels that the build has off anyway are not taken off twice.
    """
    common = {"for_choices": (line.key,), "for_names": (line.label,)}
    off = next((step.key for step in begun if step.stage == "wheels off"), "")
    tightened = {step.axle for step in begun if step.torque_nm}
    own: list[WorkStep] = []
    wheels = [axle for axle in line.wheels if axle.axle not in tightened]
    if wheels and not off:
        off = f"{line.key}:off"
        hands = OFF_H * len(wheels)
        own.append(_step(off, "wheels off", say("take_wheels_off"), hands, resource="lift", **common))
    before = (off,) if line.wheels and off else ()
    if line.hands_on_h or line.wait_h:
        work = _step(line.key, line.stage, line.label, line.hands_on_h, resource=line.resource, **common)
        own.append(work.model_copy(update={"wait_h": line.wait_h, "caution": line.caution, "after": before}))
        before = (line.key,)
    for axle in wheels:
        step = _step(
            f"{line.key}:{axle.axle}", "torque", say("wheels_to_torque"), ON_H, resource="lift", **common
        )
        more = {
            "torque_nm": axle.torque_nm, "fastener_count": axle.fasteners, "axle": axle.axle,
            "after": before, "caution": say("owner_wheels"),
        }  # fmt: skip
        own.append(step.model_copy(update=more))
    return own


def _step(key: str, stage: str, name: str, hands_on_h: float, **more: object) -> WorkStep:
    plain = {"wait_h": 0.0, "after": (), **more}
    return WorkStep(key=key, stage=stage, name=name, hands_on_h=round(hands_on_h, 2), **plain)  # type: ignore[arg-type]
