"""The customer's timeline: what has happened, what happens now, what comes next and when.

The twelve states of a job are told as the nine things a customer waits for.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.jobs.models import Job
from shop.jobs.models_history import HistoryEntry
from shop.jobs.models_lines import Entry
from shop.jobs.states import ORDER, State
from shop.messages.words import day, moment


@dataclass(frozen=True)
class Milestone:
    """One thing to wait for: in which states it is going on, and which state ends it."""

    title: str | Promise
    during: tuple[State, ...]
    ended_by: State | None


MILESTONES = (
    Milestone(gettext_lazy("Build sent"), (), State.SENT),
    Milestone(gettext_lazy("We look through it"), (State.SENT, State.IN_REVIEW, State.WAITING), State.AGREED),
    Milestone(gettext_lazy("Deposit"), (State.AGREED, State.DEPOSIT_DUE), State.DEPOSIT_IN),
    Milestone(gettext_lazy("Parts"), (State.DEPOSIT_IN, State.PARTS_ON_ORDER), State.PARTS_IN),
    Milestone(gettext_lazy("Dates fixed"), (State.PARTS_IN,), State.BOOKED),
    Milestone(gettext_lazy("You bring the vehicle"), (State.BOOKED,), State.IN_THE_BAY),
    Milestone(gettext_lazy("Work in the bay"), (State.IN_THE_BAY,), State.READY),
    Milestone(gettext_lazy("You collect it"), (State.READY,), State.HANDED_OVER),
)


@dataclass(frozen=True)
class Step:
    """One line of the timeline; ``mark`` is done, now, open or never."""

    title: str
    mark: str
    at: datetime | None
    note: str


def timeline(
    job: Job,
    entries: Iterable[HistoryEntry],
    *,
    parts_by: date | None = None,
    entry: Entry | None = None,
    in_advance: bool = True,
) -> list[Step]:
    """Return the job's milestones in order, each with when it was reached.

    ``parts_by`` is the day by which the parts on order should be here, where known; ``entry`` how it came in
    when not by the page; ``in_advance`` whether there is a deposit.
    """
    reached = {one.to_state: one.at for one in entries if one.to_state}
    milestones = [each for each in MILESTONES if in_advance or each.ended_by != State.DEPOSIT_IN]
    steps = [_step(job, milestone, reached, parts_by) for milestone in milestones]
    if entry:
        steps[0] = _entered(entry)
    if job.state in (State.DECLINED, State.CANCELLED):
        steps = [step for step in steps if step.mark == "done"]
        title = _("Declined") if job.state == State.DECLINED else _("Called off")
        steps.append(Step(title, "never", reached.get(job.state), ""))
    return steps


def _entered(entry: Entry) -> Step:
    """Say how a job began that nobody sent: staff wrote it down."""
    titles = {
        Entry.Kind.WARRANTY: _("Warranty visit agreed on"),
        Entry.Kind.COMPLAINT: _("Your complaint taken up"),
    }
    return Step(titles.get(Entry.Kind(entry.kind), _("Written down by us")), "done", entry.at, "")


def _step(job: Job, milestone: Milestone, reached: dict[str, datetime], parts_by: date | None) -> Step:
    title = str(milestone.title)
    if job.state in milestone.during:
        return Step(title, "now", None, _note(job, milestone, parts_by))
    if _is_past(job.state, milestone, reached):
        return Step(title, "done", reached.get(milestone.ended_by or ""), "")
    return Step(title, "open", None, _note(job, milestone, parts_by))


def _is_past(state: str, milestone: Milestone, reached: dict[str, datetime]) -> bool:
    if state in ORDER:
        return ORDER.index(State(state)) >= ORDER.index(milestone.ended_by or State.SENT)
    return milestone.ended_by in reached


def _note(job: Job, milestone: Milestone, parts_by: date | None) -> str:
    """Say when, where a day is known."""
    if milestone.ended_by == State.PARTS_IN and parts_by:
        late = parts_by < timezone.localdate()
        said = _("was expected by about %(day)s") if late else _("expected by about %(day)s")
        return said % {"day": day(parts_by)}
    if milestone.ended_by == State.IN_THE_BAY and job.booked_start:
        return moment(job.booked_start)
    if milestone.ended_by in (State.READY, State.HANDED_OVER) and job.promised_ready_at:
        return _("as planned by %(when)s") % {"when": day(job.promised_ready_at)}
    return ""
