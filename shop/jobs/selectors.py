"""What staff pages read. Every list is a fixed number of queries, however long it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, F, OuterRef, QuerySet

from .access import visible_jobs
from .finding import find
from .models import Job
from .states import OPEN

UNSHOWN = ("revision__evaluation", "revision__selection", "revision__terms_text", "spec__selection")
"""What no list shows, and what is long."""


def listed(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """Return the jobs with what a list shows: revision, reviewer, and what the customer wrote unread."""
    unread = Job.objects.filter(pk=OuterRef("pk"), messages__from_customer=True, messages__read_at=None)
    rows = jobs.select_related("revision", "spec", "reviewer", "ledger").defer(*UNSHOWN)
    return rows.annotate(unread=Exists(unread))


SORTS = {
    "newest": ("-opened_at", "-pk"),
    "waiting": ("state_since", "pk"),
    "number": ("number",),
    "name": ("sort_name", "pk"),
    "booked": (F("booked_start").asc(nulls_last=True), "pk"),
}
"""How a list of jobs is sorted, by the name in the address."""


@dataclass(frozen=True)
class Wanted:
    """Which jobs somebody looks for, and in which order."""

    words: str = ""
    state: str = ""
    only: str = ""
    sort: str = "newest"


def found_jobs(user: Any, wanted: Wanted) -> QuerySet[Job]:
    """Return the jobs this member of staff sees that match, sorted; ``listed`` adds what a list shows."""
    jobs = visible_jobs(user)
    if wanted.state:
        jobs = jobs.filter(state=wanted.state)
    if wanted.only == "mine":
        jobs = jobs.filter(reviewer=user)
    elif wanted.only == "held":
        jobs = jobs.filter(held=True, state__in=OPEN)
    elif wanted.only == "open":
        jobs = jobs.filter(state__in=OPEN)
    return find(jobs, wanted.words).order_by(*SORTS.get(wanted.sort, SORTS["newest"]))


def in_order(ids: Iterable[int]) -> list[Job]:
    """Return these jobs as a list shows them, in the order of the keys."""
    known = list(ids)
    found = {job.pk: job for job in listed(Job.objects.filter(pk__in=known))}
    return [found[key] for key in known if key in found]


def count_by_state(user: Any) -> dict[str, int]:
    """Return how many jobs this member of staff sees in each state."""
    rows = visible_jobs(user).order_by().values("state").annotate(n=Count("pk")).values_list("state", "n")
    return dict(rows)
