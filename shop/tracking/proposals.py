"""Changes that the workshop proposes to an agreed job, as their customer sees them: each with its price."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from configurator.builds.evaluation import Evaluation, Price
from shop.jobs import changes as proposing
from shop.jobs.models import Job
from shop.jobs.models_lines import JobLine, Proposal

from .changes import Difference, differences


@dataclass(frozen=True)
class AskedChange:
    """One proposal as its customer sees it."""

    proposal: Proposal
    rows: list[Difference]
    price: Price | None
    more_in_advance: Decimal
    lines: list[JobLine]
    gone: list[JobLine]


def asked_changes(job: Job, now: Evaluation) -> list[AskedChange]:
    """Return what waits for the customer's answer, each against the job as it is."""
    found = []
    for proposal in job.proposals.filter(state=Proposal.State.OPEN):
        proposal.job = job
        then = proposing.offer_of(proposal)
        more = then.price.deposit - now.price.deposit if then.price and now.price else Decimal(0)
        gone = list(job.lines.filter(number__in=proposal.drops))
        lines = list(proposal.lines.all())
        found.append(AskedChange(proposal, differences(now, then), then.price, more, lines, gone))
    return found
