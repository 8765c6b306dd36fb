"""What a build costs, added up from what each of its choices uses and takes.

A choice's share (its parts, materials and steps) is the same in every build of a catalogue, so it is worked
out once and kept; what several choices have in common is one slot or one step, and counts once. Parts and
hours are those of the parts list and the plan: only words, order and waits are left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from itertools import chain
from typing import TYPE_CHECKING, Any

from configurator.catalogue.models import Item, PaintLayer

from . import axles, parts_list, price, work
from .build import AxleBuild, Build, ChosenOption
from .gathering import Gathering, Slot, slot_of
from .parts_gathering import gather_brought, gather_choices
from .tasks import Task, axle_tasks, job_tasks, matching_tasks, mixing_tasks, option_tasks

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

    from .brought import Brought

KEPT = 20_000
NO_NAMES: dict[str, str] = {}


@dataclass(frozen=True)
class Use:
    """So much of an item in one slot; ``once`` names what is wanted once a job."""

    slot: Slot
    once: Slot
    item: Item
    kind: str
    at_cost_of: str
    exact: Decimal


@dataclass(frozen=True)
class Step:
    """One step of work: the longest of those with its key counts, painted areas add up."""

    key: str
    hands_on_h: float
    layer: PaintLayer | None
    area_m2: float


@dataclass(frozen=True)
class Share:
    """What one choice uses and how long it takes; ``works`` where anything is to be done for it."""

    uses: tuple[Use, ...]
    steps: tuple[Step, ...]
    works: bool


class _Uses(Gathering):
    """Notes each use as it comes, to be merged with those of other choices."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[Use] = []

    def add(
        self,
        item: Item,
        quantity: Decimal | int,
        *choices: tuple[str, str],
        key: str = "",
        once: Slot = (),
        **rest: Any,
    ) -> None:
        """Note ``quantity`` of ``item``."""
        at_cost_of = rest.get("at_cost_of", "customer")
        slot = slot_of(item, key, **rest)
        self.found.append(Use(slot, once, item, rest["kind"], at_cost_of, Decimal(quantity)))


def added(build: Build, brought: Iterable[Brought], catalogue: Catalogue) -> Decimal:
    """Return what the build costs, tax included; nothing while nothing is to be done."""
    found = list(_shares(build, catalogue))
    if catalogue.workshop is None or not any(share.works for share in found):
        return Decimal(0)
    found.append(_kept(("job",), catalogue, partial(_job, build, catalogue)))
    extras = _Uses()
    gather_brought(brought, NO_NAMES, catalogue, extras)
    uses = chain(*(share.uses for share in found), extras.found)
    hours = _hours(chain(*(share.steps for share in found)))
    return _parts(uses) + price.labour(hours, catalogue.workshop.labour_rate_per_h)


def _shares(build: Build, catalogue: Catalogue) -> Iterator[Share]:
    vehicle = build.generation.code
    for row in build.axles:
        if row.changed:
            parts = (part.code if part else None for part in (row.wheel, row.tyre, row.spacer))
            yield _kept((vehicle, row.position, *parts), catalogue, partial(_axle, build, row, catalogue))
    for chosen in build.options:
        finish = chosen.finish.code if chosen.finish else None
        yield _kept((vehicle, chosen.option.code, finish), catalogue, partial(_option, build, chosen))
    if build.is_mixed:
        yield _kept(("mixed",), catalogue, partial(_mixing, build, catalogue))
    if build.is_matched:
        yield _kept(("matched",), catalogue, partial(_matching, build, catalogue))


def _kept(key: tuple[str | None, ...], catalogue: Catalogue, made: Callable[[], Share]) -> Share:
    return catalogue.once("shares", key, made, most=KEPT)


def _alone(build: Build, **chosen: Any) -> Build:
    return Build(build.selection, build.generation, **chosen)


def _job(build: Build, catalogue: Catalogue) -> Share:
    return _share(_alone(build), {}, job_tasks(catalogue))


def _mixing(build: Build, catalogue: Catalogue) -> Share:
    return _share(_alone(build), {}, mixing_tasks(catalogue))


def _matching(build: Build, catalogue: Catalogue) -> Share:
    return _share(_alone(build), {}, matching_tasks(catalogue))


def _axle(build: Build, row: AxleBuild, catalogue: Catalogue) -> Share:
    alone = _alone(build, axles=[row])
    fitted = axles.fitted(row, catalogue)
    return _share(alone, {row.position: fitted}, axle_tasks(row, catalogue, has_rings=fitted.rings))


def _option(build: Build, chosen: ChosenOption) -> Share:
    alone = _alone(build, options=[chosen])
    return _share(alone, {}, option_tasks(chosen, build))


def _share(alone: Build, fitted: dict[str, axles.AxleHardware], found: list[Task]) -> Share:
    uses = _Uses()
    gather_choices(alone, fitted, found, uses)
    steps = (Step(d.key, d.hands_on_h, d.layer, d.area_m2) for d in work.drafts_of(found))
    return Share(tuple(uses.found), tuple(steps), bool(found))


def _parts(uses: Iterable[Use]) -> Decimal:
    """Return what the uses cost, each thing in each place rounded once."""
    first: dict[Slot, Use] = {}
    exact: dict[Slot, Decimal] = {}
    once: set[Slot] = set()
    for use in uses:
        if use.once:
            if use.once in once:
                continue
            once.add(use.once)
        if use.slot in exact:
            exact[use.slot] += use.exact
        else:
            first[use.slot], exact[use.slot] = use, use.exact
    amounts = (
        parts_list.cost(use.item, use.kind, exact[slot], use.at_cost_of) for slot, use in first.items()
    )
    return sum(amounts, Decimal(0))


def _hours(steps: Iterable[Step]) -> Iterator[float]:
    """Return the hours of each step of the merged plan, in no order."""
    longest: dict[str, tuple[float, PaintLayer | None, float]] = {}
    for step in steps:
        hands, layer, area = longest.get(step.key, (0.0, step.layer, 0.0))
        longest[step.key] = (max(hands, step.hands_on_h), layer, area + step.area_m2)
    return (work.finished_h(*each) for each in longest.values())
