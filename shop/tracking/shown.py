"""Which version of a job its customer sees: theirs, until the workshop proposes another one."""

from __future__ import annotations

from collections.abc import Iterable

from configurator.models import SpecRevision
from shop.jobs.models import Job
from shop.jobs.models_history import HistoryEntry
from shop.jobs.states import ORDER, State
from shop.messages.hooks import is_offer

AFTER_AGREEING = frozenset(ORDER[ORDER.index(State.AGREED) :])


def shown_revision(job: Job, moves: Iterable[HistoryEntry]) -> SpecRevision:
    """Return the version that was put to the customer last, or that they said yes to.

    While the workshop still writes another one, that is a draft and nobody's promise. ``moves`` are the
    job's moves with the entry that opened it, in their order.
    """
    yes = job.customer_agreed_revision_id
    if job.state in AFTER_AGREEING or is_offer(job) or job.revision_id in (yes, job.agreed_revision_id):
        return job.revision
    if yes:
        return job.spec.revisions.get(pk=yes)
    numbers = [number for entry in moves if (number := _put_to_them(entry))]
    return job.spec.revisions.filter(number__in=numbers[-1:]).first() or job.revision


def _put_to_them(entry: HistoryEntry) -> int | None:
    """Return the version that an entry tells of: sent, entered, offered or agreed."""
    figures = entry.data.get("said", {}).get("figures", {}) if entry.to_state == State.WAITING else {}
    return entry.data.get("revision") or figures.get("revision")
