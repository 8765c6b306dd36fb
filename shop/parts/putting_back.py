"""What was handed out to a job and is not needed after all goes back onto the shelf."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from shop.jobs.models import Job
from shop.jobs.moving import locked, record
from shop.jobs.roles import actor
from shop.jobs.states import State

from .models import JobPart
from .progress import promise_progress
from .quantities import NOTHING, plain
from .stock import Reason, StockError, change, lock_levels, reserve

OFF = frozenset({State.CANCELLED, State.DECLINED})


def surplus(part: JobPart, job: Job) -> Decimal:
    """Return how much of a line lies with the job and is not wanted for it any more."""
    wanted = NOTHING if part.dropped or job.state in OFF else part.quantity
    return max(NOTHING, part.issued - wanted)


def surplus_parts(job: Job) -> list[tuple[JobPart, Decimal]]:
    """Return the job's lines of which something can go back, with how much."""
    rows = [(part, surplus(part, job)) for part in job.parts.filter(issued__gt=0)]
    return [(part, quantity) for part, quantity in rows if quantity > 0]


@transaction.atomic
def put_back(*, part_id: int, quantity: Decimal, issued: Decimal, by: Any) -> bool:
    """Put what was not used back onto the shelf, for whoever needs it first.

    ``issued`` is what the page showed as handed out: a second press finds another figure and does nothing.
    Raises ``StockError`` for more than is left over.
    """
    job = locked(JobPart.objects.values_list("job", flat=True).get(pk=part_id))
    part = JobPart.objects.get(pk=part_id)
    if part.issued != issued:
        return False
    if not NOTHING < quantity <= surplus(part, job):
        raise StockError(_("Only what is left over can go back: %(n)s.") % {"n": plain(surplus(part, job))})
    lock_levels([part.sku])
    change(sku=part.sku, quantity=quantity, reason=Reason.RETURNED, part=part, by=by, note=job.number)
    part.issued -= quantity
    part.save(update_fields=["issued"])
    record(job, actor(by), "parts.put_back", what=part.name, quantity=str(quantity))
    promise_progress(reserve(skus=[part.sku]), f"put-back-{part.pk}-{issued}")
    return True
