"""A job's evaluation is its build with its free lines folded in: put together here and nowhere else."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.utils.translation import gettext as _

from configurator.builds.evaluation import Evaluation
from configurator.builds.extra import with_lines, without_lines
from configurator.builds.free_lines import FreeLine, WheelsOff, frame_of
from configurator.builds.sentences import say
from configurator.catalogue import snapshot

from .errors import UnmetError
from .evaluations import evaluation_of
from .models import Job
from .models_lines import Entry, JobLine
from .states import State

Kind = JobLine.Kind
STAGES = {
    Kind.REPAIR: "refit",
    Kind.DIPPING: "colour",
    Kind.PAINTING: "colour",
    Kind.FITTING: "refit",
    Kind.CHARGE: "refit",
}
CAUTIONS = {Kind.DIPPING: "bench_ignition", Kind.PAINTING: "bench_diisocyanates"}
# From the bay on the balance is near: extra work does not ask for more in advance.
NO_MORE_IN_ADVANCE = frozenset({State.IN_THE_BAY, State.READY})


def free_line(line: JobLine) -> FreeLine:
    """Return a line as the evaluation takes it."""
    kind = Kind(line.kind)
    return FreeLine(
        number=line.number,
        label=line.label,
        amount=line.amount,
        hands_on_h=line.hands_on_h,
        wait_h=line.wait_h,
        stage=STAGES[kind],
        resource=line.resource,
        caution=say(CAUTIONS[kind]) if kind in CAUTIONS else "",
        wheels=tuple(WheelsOff(axle, torque, count) for axle, torque, count in line.wheels),
    )


def build_of(job: Job) -> Evaluation:
    """Return the build that is worked on, without the job's free lines."""
    return without_lines(evaluation_of(job.revision))


def in_force(job: Job) -> list[JobLine]:
    """Return the lines that are part of the job now."""
    return list(job.lines.filter(state=JobLine.State.IN_FORCE))


def composed(build: Evaluation, lines: Iterable[JobLine], deposit: Decimal | None = None) -> Evaluation:
    """Return the evaluation of a build with these lines; ``deposit`` stands in place of the policy.

    Raises UnmetError while no catalogue names the workshop's rates.
    """
    catalogue = snapshot.current()
    if catalogue.workshop is None:
        raise UnmetError(_("No catalogue is loaded yet: the workshop's rates are not known."))
    written = [free_line(line) for line in lines]
    if not written and deposit is None:
        return without_lines(build)
    return with_lines(build, written, catalogue.workshop, frame=frame_of(catalogue), deposit=deposit)


def in_advance(job: Job) -> Decimal | None:
    """Return what is asked for in advance where the workshop's policy does not decide it."""
    entry = Entry.objects.filter(job=job).first()
    if entry and entry.deposit is not None:
        return entry.deposit
    if entry and entry.is_at_our_cost:
        return Decimal(0)
    price = evaluation_of(job.revision).price
    return price.deposit if price and job.state in NO_MORE_IN_ADVANCE else None
