"""What is short as the rows keep it, held against working it out anew."""

from __future__ import annotations

from shop.models import Lack, Shortage, WaitingJob
from shop.parts.demand import wanting_parts
from shop.parts.ordering import needs_of
from shop.parts.shortages import refresh


def shortages_agree() -> None:
    """Fail unless the kept rows say what ``needs_of`` says, line by line and job by job."""
    refresh()
    needs, views = needs_of()
    kept = {
        row.sku: (
            row.wanted,
            row.free,
            row.on_order,
            row.quantity,
            row.cost_net,
            row.need_by,
            row.order_by,
            row.by_job,
            row.jobs,
            row.supplier,
        )
        for row in Shortage.objects.all()
    }
    assert kept == {
        need.part.sku: (
            need.wanted,
            need.free,
            need.on_order,
            need.quantity,
            need.cost_net,
            need.need_by,
            need.order_by,
            need.by_job[:5],
            len(need.by_job),
            need.part.supplier,
        )
        for need in needs
    }
    lacking = {view.claim.part.pk: view.missing for view in views}
    assert dict(Lack.objects.values_list("part", "missing")) == lacking
    jobs: dict[int, tuple[int, int]] = {}
    for part in wanting_parts():
        lines, complete = jobs.get(part.job_id, (0, 0))
        jobs[part.job_id] = (lines + 1, complete + (part.pk not in lacking))
    short = {job: both for job, both in jobs.items() if both[0] > both[1]}
    assert {row.job_id: (row.lines, row.complete) for row in WaitingJob.objects.all()} == short
