"""From recipes to one merged plan of work, its waits and its critical path.

What several choices share is done once: one bumper off for grille and splitter, one booth visit per
paint system and colour, one wheels-off for wheels, spacers and calipers. Hands work in working hours;
waits run through the night.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from configurator.catalogue.models import STAGES, Operation, PaintLayer
from configurator.catalogue.related import rows_of

from .build import ChosenOption
from .evaluation import Work, WorkStep
from .hours import exact, worked
from .sentences import say
from .tasks import Task, Tightening

STAGE_ORDER = {stage: number for number, stage in enumerate(STAGES)}


@dataclass
class Draft:
    """A step while it is being merged; ``area_m2`` adds up over the parts painted together."""

    key: str
    stage: str
    name: str
    hands_on_h: float
    wait_h: float
    resource: str
    caution: str = ""
    choices: dict[str, str] = field(default_factory=dict)
    after: set[str] = field(default_factory=set)
    layer: PaintLayer | None = None
    paint: dict[str, str] = field(default_factory=dict)
    area_m2: float = 0.0
    tightened: Tightening | None = None
    axle: str = ""


def finished_h(hands_on_h: float, layer: PaintLayer | None, area_m2: float) -> float:
    """Return a step's hands-on hours, with those that grow with the painted area, in hundredths."""
    by_area = layer.hands_on_h_per_m2 * area_m2 if layer else 0.0
    return round(hands_on_h + by_area, 2)


def plan(found: Iterable[Task], hours_per_day: float) -> Work:
    """Merge the tasks' operations into one plan and find what decides its length."""
    drafts = _merged(found)
    _frame(drafts)
    steps = [_finished(draft) for draft in _in_order(drafts)]
    return measured(steps, hours_per_day)


def drafts_of(found: Iterable[Task]) -> Iterable[Draft]:
    """Return the steps of these tasks, merged, in no order: for their hours alone."""
    return _merged(found, in_order=False).values()


def _merged(found: Iterable[Task], *, in_order: bool = True) -> dict[str, Draft]:
    """Merge the tasks' operations: what several of them share is one step."""
    drafts: dict[str, Draft] = {}
    for task in found:
        previous: str | None = None
        for key in _steps_of(task, drafts):
            if in_order and previous and previous != key:
                _order(drafts, previous, key)
            previous = key
    return drafts


def _steps_of(task: Task, drafts: dict[str, Draft]) -> Iterable[str]:
    """Merge one task's operations in and yield their keys in order."""
    for operation in rows_of(task.recipe, "operations"):
        if operation.stage == "torque" and task.tightened:
            for axle in task.tightened:
                yield _merge(task, operation, drafts, axle)
        elif not operation.paints:
            yield _merge(task, operation, drafts)
        elif task.option:
            yield from _painting(task, task.option, operation, drafts)


def _merge(task: Task, operation: Operation, drafts: dict[str, Draft], axle: str = "") -> str:
    """Merge one operation in; ``axle`` is given when it tightens the wheels of that axle."""
    scope = f"{axle}:" if axle else ""
    key = scope + (operation.share_key or f"{task.choice}:{task.recipe.code}:{operation.position}")
    draft = drafts.get(key)
    if draft is None:
        draft = drafts[key] = Draft(key, operation.stage, operation.name, 0.0, 0.0, operation.resource)
        draft.tightened, draft.axle = task.tightened.get(axle), axle
    draft.hands_on_h = max(draft.hands_on_h, operation.hands_on_h)
    draft.wait_h = max(draft.wait_h, operation.wait_h)
    draft.caution = draft.caution or operation.caution
    draft.choices[task.choice] = task.name
    return key


def _painting(
    task: Task, chosen: ChosenOption, operation: Operation, drafts: dict[str, Draft]
) -> Iterable[str]:
    """Merge the coats in, and before those of its stage what the recipe itself does or waits for.

    So a primer that is sanded flat is sanded after it has dried and before the colour.
    """
    if chosen.system is None or chosen.finish is None:
        return
    layers = rows_of(chosen.system, "layers")
    early = [one for one in layers if STAGE_ORDER[one.stage] < STAGE_ORDER[operation.stage]]
    yield from _coats(task, chosen, operation, early, drafts)
    if operation.hands_on_h or operation.wait_h:
        yield _merge(task, operation, drafts)
    yield from _coats(task, chosen, operation, [one for one in layers if one not in early], drafts)


def _coats(
    task: Task,
    chosen: ChosenOption,
    operation: Operation,
    layers: Iterable[PaintLayer],
    drafts: dict[str, Draft],
) -> Iterable[str]:
    """Merge coats of a painted part: one visit per system, colour and coat.

    It is to the booth, or to the lift where a recipe paints in place there, the vehicle held meanwhile. A
    recipe that names no place has the bay's, so that one does not count.
    """
    system, finish = chosen.system, chosen.finish
    if system is None or finish is None:
        return
    for layer in layers:
        colour = finish.code if layer.tinted else "any"
        key = f"paint:{system.code}:{colour}:{layer.position}"
        if not layer.tinted and layer.stage == PaintLayer.Stage.LACQUER:
            key = f"paint:{system.code}:{finish.code}:{layer.position}"
        draft = drafts.get(key)
        if draft is None:
            draft = drafts[key] = _coat(key, layer, finish.name, finish.hex)
        if operation.resource == Operation.Resource.LIFT:
            draft.resource = operation.resource
        draft.area_m2 += chosen.option.paint_area_m2 * chosen.option.item_quantity
        draft.choices[task.choice] = task.name
        yield key


def _coat(key: str, layer: PaintLayer, finish: str, colour: str) -> Draft:
    shown = say("coat_item", part=layer.item.name, finish=finish) if layer.tinted else layer.item.name
    draft = Draft(key, layer.stage, shown, layer.hands_on_h, layer.wait_h, "booth", layer.system.caution)
    draft.layer = layer
    draft.paint = {"system": layer.system.name, "coat": layer.stage}
    if layer.tinted:
        draft.paint |= {"finish": finish, "hex": colour}
    return draft


def _rank(drafts: dict[str, Draft], key: str) -> tuple[int, bool, int]:
    """Stage first, then what comes before its coats, then first come.

    Edges only ever run up this order, so there is no circle.
    """
    return STAGE_ORDER[drafts[key].stage], drafts[key].layer is not None, list(drafts).index(key)


def _order(drafts: dict[str, Draft], first: str, then: str) -> None:
    if _rank(drafts, first) > _rank(drafts, then):
        first, then = then, first
    drafts[then].after.add(first)


def _frame(drafts: dict[str, Draft]) -> None:
    """Book-in comes before everything; wash and final check after everything."""
    opening = [key for key, draft in drafts.items() if draft.stage == "book-in"]
    closing = [key for stage in ("wash", "final check") for key, d in drafts.items() if d.stage == stage]
    middle = [key for key in drafts if key not in opening and key not in closing]
    waited_for = {key for draft in drafts.values() for key in draft.after}
    last = [key for key in middle if key not in waited_for] or opening
    for key in middle:
        if not drafts[key].after:
            drafts[key].after.update(opening)
    for key in closing:
        drafts[key].after = set(last)
        last = [key]


def _in_order(drafts: dict[str, Draft]) -> list[Draft]:
    return sorted(drafts.values(), key=lambda draft: _rank(drafts, draft.key))


def _finished(draft: Draft) -> WorkStep:
    return WorkStep(
        key=draft.key,
        stage=draft.stage,
        name=draft.name,
        hands_on_h=finished_h(draft.hands_on_h, draft.layer, draft.area_m2),
        wait_h=draft.wait_h,
        resource=draft.resource,
        after=tuple(sorted(draft.after)),
        for_choices=tuple(draft.choices),
        for_names=tuple(draft.choices.values()),
        caution=draft.caution,
        paint=draft.paint,
        torque_nm=draft.tightened.torque_nm if draft.tightened else None,
        axle=draft.axle,
        fastener_count=draft.tightened.fasteners if draft.tightened else 0,
    )


def measured(steps: list[WorkStep], hours_per_day: float) -> Work:
    """Find each step's earliest end with hands enough, and the chain that decides the last one."""
    end: dict[str, Fraction] = {}
    because: dict[str, str | None] = {}
    for step in steps:
        because[step.key] = max(step.after, key=lambda key: end[key], default=None)
        start = max((end[key] for key in step.after), default=Fraction(0))
        end[step.key] = worked(start, step.hands_on_h, hours_per_day) + exact(step.wait_h)
    last: str | None = max(end, key=lambda key: end[key], default=None)
    critical_h = end[last] if last else Fraction(0)
    path: list[str] = []
    while last is not None:
        path.append(last)
        last = because[last]
    hands = sum((exact(step.hands_on_h) for step in steps), Fraction(0))
    days = max(math.ceil(critical_h / 24), math.ceil(hands / exact(hours_per_day)))
    return Work(
        steps=tuple(steps),
        hands_on_h=round(float(hands), 2),
        critical_h=round(float(critical_h), 2),
        critical_path=tuple(reversed(path)),
        bay_days=days,
    )
