"""What a draft would do to open builds, unconfirmed jobs and ready-made looks, and what its rules leave."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from configurator.builds import ready_looks
from configurator.builds.trying import Tried, open_builds, tried
from configurator.catalogue import going_live, lint, snapshot
from configurator.catalogue.lint_words import LintRow
from configurator.catalogue.models_changes import Draft
from configurator.catalogue.snapshot import Catalogue
from shop.jobs.models import Job
from shop.jobs.states import State

UNCONFIRMED = (State.SENT, State.IN_REVIEW, State.WAITING)
MOST_JOBS = 40


@dataclass(frozen=True)
class Answer:
    """What trying a draft found: builds and jobs, each with both answers, and new findings on rules."""

    builds: list[Tried]
    jobs: list[Tried]
    findings: list[LintRow]
    looks: list[ready_looks.Judged]

    @property
    def hit(self) -> int:
        """How many would be told something else."""
        return sum(one.is_hit for one in (*self.builds, *self.jobs))


def try_draft(draft: Draft) -> Answer:
    """Judge open builds and unconfirmed jobs against the draft; raise NotLiveError where it is not whole."""
    live, other = snapshot.current(), going_live.catalogue_of(draft)
    jobs = Job.objects.filter(state__in=UNCONFIRMED).select_related("revision", "spec").order_by("-pk")
    return Answer(
        builds=list(tried(((one, one.selection) for one in open_builds()), live, other)),
        jobs=list(tried(((one, one.revision.selection) for one in jobs[:MOST_JOBS]), live, other)),
        findings=_new_findings(draft, live, other),
        looks=newly_fallen(live, other),
    )


def newly_fallen(live: Catalogue, other: Catalogue) -> list[ready_looks.Judged]:
    """Return the looks that stand now and would not under the other catalogue, with why."""
    known = {one.look.code for one in ready_looks.fallen(live)}
    return [one for one in ready_looks.fallen(other) if one.look.code not in known]


def _new_findings(draft: Draft, live: Any, other: Any) -> list[LintRow]:
    """Return what the rules newly leave impossible or idle; only rules, options and parts can change that."""
    if not draft.rows.exclude(kind__in=("items", "suppliers", "texts", "recipes")).exists():
        return []
    known = {(row.kind, row.subject, row.generation) for row in lint.lint(live)}
    return [
        row
        for row in lint.lint(other)
        if (row.kind, row.subject, row.generation) not in known
        and row.kind not in ("untranslated", "idle_text")
    ]
