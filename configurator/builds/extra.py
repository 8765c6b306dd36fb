"""Free lines beside a build: work and prices that a person wrote, folded into the evaluation.

A job that was entered by hand, or that grew in the workshop, is an evaluation like any other: its lines are
price lines, its hours are steps of work. Folding in and taking out again are each other's inverse, so a
build can be changed under its lines and lines under their build. Money is Decimal, tax included.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from configurator.catalogue.models import Recipe, Workshop
from configurator.words import Said

from . import money
from .evaluation import Evaluation, Price, PriceLine, Work, WorkStep
from .selection import Selection
from .sentences import say
from .tasks import JOB, Task
from .work import STAGE_ORDER, measured, plan

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

NOT_LISTED = "not-listed"
"""Stands for the generation of a vehicle that is not in the catalogue."""
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


def nothing_chosen(generation: str, vehicle: str, version: int) -> Evaluation:
    """Return the empty evaluation of a vehicle that only has a name."""
    return Evaluation(
        selection=Selection(generation=generation),
        catalogue_version=version,
        names={generation: vehicle} if vehicle else {},
        summary=(vehicle,) if vehicle else (),
    )


def with_lines(
    build: Evaluation,
    lines: Iterable[FreeLine],
    workshop: Workshop,
    *,
    frame: tuple[WorkStep, ...] = (),
    deposit: Decimal | None = None,
) -> Evaluation:
    """Return the build with these lines and no others.

    ``frame`` is the work that every job has, taken where the build brings none. ``deposit`` stands in place
    of the workshop's policy, never above the total.
    """
    bare, written = without_lines(build), list(lines)
    steps = _joined(bare, written, frame)
    work = measured(steps, float(workshop.hours_per_day)) if steps else None
    names = {line.key: line.label for line in written}
    return bare.model_copy(
        update={
            "work": work,
            "price": _priced(bare, written, workshop, deposit),
            "names": {**bare.names, **names},
            "summary": (*bare.summary, *names.values()),
            "cautions": _with(bare.cautions, written, owner=True),
            "bench_cautions": _with(bare.bench_cautions, written, owner=False),
        }
    )


def without_lines(found: Evaluation) -> Evaluation:
    """Return the build alone: what stays when every free line is taken out."""
    price = found.price
    own = tuple(line for line in price.lines if not line.choice.startswith(PREFIX)) if price else ()
    labels = [str(text) for key, text in found.names.items() if key.startswith(PREFIX)]
    kept = (
        [step for step in found.work.steps if not step.key.startswith(PREFIX)] if found.work and own else []
    )
    return found.model_copy(
        update={
            "work": _bare_work(found.work) if own else None,
            "price": price.model_copy(update=_sums(own, price)) if own and price else None,
            "names": {key: text for key, text in found.names.items() if not key.startswith(PREFIX)},
            "summary": found.summary[: len(found.summary) - len(labels)] if labels else found.summary,
            "cautions": _still_due(found.cautions, kept),
            "bench_cautions": _still_due(found.bench_cautions, kept),
        }
    )


PAINTING = ("prime", "colour", "lacquer")
CAUTIONS = {
    "owner_wheels": lambda step: step.torque_nm is not None,
    "owner_paint": lambda step: step.stage in PAINTING,
    "bench_ignition": lambda step: step.stage in PAINTING,
    "bench_diisocyanates": lambda step: step.stage in PAINTING,
}
"""The usual cautions that a line can bring, with the step that a build's own would come from."""


def _with(known: tuple[str, ...], lines: list[FreeLine], *, owner: bool) -> tuple[str, ...]:
    names = ["owner_wheels"] if owner and any(line.wheels for line in lines) else []
    if any(line.stage in PAINTING and line.hands_on_h for line in lines):
        names += ["owner_paint"] if owner else ["bench_ignition", "bench_diisocyanates"]
    return tuple(dict.fromkeys((*known, *map(say, names))))


def _still_due(known: tuple[str, ...], steps: list[WorkStep]) -> tuple[str, ...]:
    """Take out the cautions that only lines had brought."""
    return tuple(
        text
        for text in known
        if not (isinstance(text, Said) and text.id in CAUTIONS)
        or any(CAUTIONS[text.id](step) for step in steps)
    )


def frame_of(catalogue: Catalogue) -> tuple[WorkStep, ...]:
    """Return the work that goes with every job, as the catalogue's recipes have it."""
    tasks = [
        Task(JOB, say("every_job"), recipe)
        for recipe in catalogue.recipes.values()
        if recipe.covers == Recipe.Covers.JOB
    ]
    hours = float(catalogue.workshop.hours_per_day) if catalogue.workshop else 8.0
    return plan(tasks, hours).steps


def _bare_work(work: Work | None) -> Work | None:
    """Take the lines' steps out; the lengths are worked out anew by whoever folds lines in again."""
    if work is None:
        return None
    kept = [step for step in work.steps if not step.key.startswith(PREFIX)]
    keys = {step.key for step in kept}
    steps = tuple(
        step.model_copy(update={"after": tuple(key for key in step.after if key in keys)}) for step in kept
    )
    return work.model_copy(update={"steps": steps})


def _sums(lines: tuple[PriceLine, ...], price: Price) -> dict[str, object]:
    total = sum((line.amount for line in lines), Decimal(0))
    net, tax = money.tax_split(total, price.tax_rate_pct)
    parts = sum((line.parts for line in lines), Decimal(0))
    return {
        "lines": lines,
        "total": total,
        "net": net,
        "tax": tax,
        "parts": parts,
        "labour": total - parts,
        "deposit": min(price.deposit, total),
    }


def _priced(
    bare: Evaluation, lines: list[FreeLine], workshop: Workshop, deposit: Decimal | None
) -> Price | None:
    own = bare.price.lines if bare.price else ()
    if not own and not lines:
        return None
    free = tuple(
        PriceLine(choice=line.key, label=line.label, parts=Decimal(0), labour=line.amount, amount=line.amount)
        for line in lines
    )
    rate = bare.price.tax_rate_pct if bare.price else workshop.tax_rate_pct
    currency = bare.price.currency if bare.price else workshop.currency
    total = sum((line.amount for line in (*own, *free)), Decimal(0))
    asked, why = money.deposit(total, bare.parts, workshop.deposit_pct)
    if deposit is not None:
        asked, why = min(deposit, total), say("deposit_as_agreed" if deposit else "nothing_in_advance")
    empty = Price(
        currency=currency, lines=(), parts=Decimal(0), labour=Decimal(0), total=total, tax_rate_pct=rate,
        tax=Decimal(0), net=Decimal(0), deposit=asked, deposit_why=why,
    )  # fmt: skip
    return empty.model_copy(update=_sums((*own, *free), empty))


def _joined(bare: Evaluation, lines: list[FreeLine], frame: tuple[WorkStep, ...]) -> list[WorkStep]:
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
