"""One selection in, one evaluation out: fit, rules, hardware, parts, work and price.

>>> evaluation = evaluate(Selection(generation="haldor-2"), current())  # doctest: +SKIP
>>> evaluation.sendable  # doctest: +SKIP
False
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from configurator.catalogue.models import Finish

from . import axles, cautions, colours, naming, parts_list, price, verdicts, work
from .build import Build, vehicle_name
from .evaluation import AxleFit, ColourChoice, Evaluation, Problem
from .resolve import resolve
from .selection import Selection
from .sentences import say
from .tasks import JOB, tasks

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


WORST_FIRST = ("no", "unknown", "measure", "fits")


def evaluate(selection: Selection, catalogue: Catalogue) -> Evaluation:
    """Judge the selection against the catalogue; the selection is never changed.

    Whatever can be worked out is, even when some fields have problems, so that a page shows the
    rest of the build unharmed. Reads only the catalogue snapshot: no query is made.
    """
    build = resolve(selection, catalogue)
    if isinstance(build, Problem):
        return Evaluation(selection=selection, catalogue_version=catalogue.version, problems=(build,))
    fitted = axles.fit_axles(build, catalogue)
    fits = {position: axle.fit for position, axle in fitted.items()}
    judged = verdicts.judge(build, catalogue)
    found = tasks(build, catalogue, rings=[p for p, axle in fitted.items() if axle.rings])
    names = naming.names(build, has_work=bool(found))
    lines = parts_list.parts_list(build, catalogue, fitted, found, judged.brought, names)
    plan = None
    priced = None
    if found and catalogue.workshop is not None:
        plan = work.plan(found, float(catalogue.workshop.hours_per_day))
        priced = price.price(lines, plan, names, catalogue.workshop)
    return Evaluation(
        selection=selection,
        catalogue_version=catalogue.version,
        problems=tuple(build.problems),
        fits=fits,
        verdict=worst(fits.values()),
        conflicts=judged.conflicts,
        options=judged.options,
        accent=colours.accent_choice(build),
        body=_body(build.body),
        parts=lines,
        work=plan,
        price=priced,
        cautions=cautions.for_owner(build, fits.values(), plan),
        bench_cautions=cautions.for_bench(build, fits.values(), plan),
        names=names,
        summary=_summary(build, names),
    )


def worst(fits: Iterable[AxleFit]) -> str:
    """Return the worst verdict of the axles; nothing changed is a fit."""
    found = {fit.verdict for fit in fits}
    return next((verdict for verdict in WORST_FIRST if verdict in found), "fits")


def _body(finish: Finish | None) -> ColourChoice | None:
    if finish is None:
        return None
    return ColourChoice(finish=finish.code, name=finish.name, hex=finish.hex, paint_code=finish.paint_code)


def _wish(build: Build) -> tuple[str, ...]:
    """Say which colour of their own the customer wished for, and what is to be done about it."""
    wanted, accent = build.selection.accent_wanted_hex, build.accent
    if wanted is None or accent is None:
        return ()
    return (say(f"wished_{build.selection.accent_way}", colour=wanted, finish=accent.name),)


def _summary(build: Build, names: dict[str, str]) -> tuple[str, ...]:
    """Return the build in a few lines for people: vehicle, colour, then each choice."""
    vehicle = vehicle_name(build.generation)
    if build.body:
        vehicle = say("vehicle_in_colour", vehicle=vehicle, colour=build.body.name)
    return (vehicle, *_wish(build), *(label for choice, label in names.items() if choice != JOB))
