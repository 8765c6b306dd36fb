"""The usual cautions of a build, once each: what its owner should know, and what the bench must heed.

Common practice, no source, where a line names none; local codes and licensed practice rule. What one step of
work asks of the technician stands beside that step, not here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from configurator.catalogue.models import Generation

from .build import Build
from .evaluation import AxleFit, FitCaution, Work
from .sentences import say

if TYPE_CHECKING:
    from configurator.words import Said

OWNERS = ("verdict", "specification", "handover")
"""Where a fit's caution belongs when it is for the vehicle's owner; the rest is for the bench."""
BUMPER_STEPS = ("front-bumper-off", "rear-bumper-off")
PAINTED_STAGES = frozenset({"prime", "colour", "lacquer"})
# What replaces a fit's caution where a motorcycle has no hub, no bolts and no track.
OF_CARS_ONLY = frozenset({"mating_faces", "recheck", "torque", "spacer", "track"})


def for_owner(build: Build, fits: Iterable[AxleFit], work: Work | None) -> tuple[str, ...]:
    """Return what the customer should know, in the order of a visit: verdict, work, handover."""
    found = [one for one in _of_fits(build, fits) if one.where in OWNERS]
    said = [one.text for one in found if one.where != "handover"]
    said += _of_work(build, work)
    said += [one.text for one in found if one.where == "handover"]
    return tuple(dict.fromkeys(said))


def for_bench(build: Build, fits: Iterable[AxleFit], work: Work | None) -> tuple[str, ...]:
    """Return what the workshop's people must heed over the whole job."""
    stages = _stages(work)
    said: list[str] = [one.text for one in _of_fits(build, fits) if one.where not in OWNERS]
    if _is_motorcycle(build) and "wheels off" in stages:
        said.append(say("bench_motorcycle"))
    if stages & {"prep", "bond", *PAINTED_STAGES}:
        said.append(say("bench_ignition"))
    if stages & PAINTED_STAGES:
        said.append(say("bench_diisocyanates"))
    if stages & {"strip", "refit"}:
        said.append(say("bench_airbags"))
    if stages and not _is_motorcycle(build):
        said.append(say("bench_high_voltage"))
    return tuple(dict.fromkeys(said))


def _of_fits(build: Build, fits: Iterable[AxleFit]) -> list[FitCaution]:
    dropped = OF_CARS_ONLY if _is_motorcycle(build) else frozenset()
    return [one for fit in fits for one in fit.cautions if one.id not in dropped]


def _of_work(build: Build, work: Work | None) -> Iterator[Said]:
    stages = _stages(work)
    if "wheels off" in stages:
        yield say("owner_wheels_motorcycle" if _is_motorcycle(build) else "owner_wheels")
    if not _is_motorcycle(build) and any(row.wheel or row.tyre for row in build.axles):
        yield say("owner_pressure_sensors")
    if any(chosen.system and chosen.system.max_temperature_c for chosen in build.options):
        yield say("owner_brakes")
    if "bond" in stages:
        yield say("owner_bonding")
    if stages & PAINTED_STAGES:
        yield say("owner_paint")
    if work and any(step.key in BUMPER_STEPS for step in work.steps):
        yield say("owner_driver_assistance")


def _stages(work: Work | None) -> frozenset[str]:
    return frozenset(step.stage for step in work.steps) if work else frozenset()


def _is_motorcycle(build: Build) -> bool:
    return build.generation.body_style == Generation.BodyStyle.MOTORCYCLE
