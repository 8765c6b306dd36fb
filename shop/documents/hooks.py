"""Papers that are wanted at a job's moves; connected in ``ShopConfig.ready``."""

from __future__ import annotations

from typing import Any

from shop.jobs.models import Job
from shop.jobs.states import State
from shop.money.models import Invoice

from .models import Paper
from .service import promise_paper

WANTED = {
    State.AGREED: (Paper.Kind.QUOTE, Paper.Kind.SPECIFICATION),
    State.DEPOSIT_DUE: (Paper.Kind.DEPOSIT,),
    State.BOOKED: (Paper.Kind.JOB_SHEET,),
    State.READY: (Paper.Kind.HANDOVER,),
    State.HANDED_OVER: (Paper.Kind.HANDOVER,),
}


def when_invoice_issued(sender: object, invoice: Invoice, **kwargs: Any) -> None:
    """Have the paper of an invoice or credit note made after the commit; it is made once and stands."""
    promise_paper(kind=Paper.Kind.INVOICE, about=invoice.pk, occasion=invoice.number)


def when_job_moved(sender: object, job: Job, to: str, entry: Any, **kwargs: Any) -> None:
    """Have the papers of the new state made after the commit."""
    for kind in WANTED.get(State(to), ()):
        promise_paper(kind=kind, about=job.pk, occasion=str(entry.pk))
