"""After the handover: a warranty visit or a complaint is a job of its own that points back to the first."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext as _

from .entering import NewJob, Written, enter_job
from .errors import UnmetError, WrongStateError
from .models import Job
from .models_lines import Entry
from .moving import locked
from .revising import contact_of
from .roles import By
from .states import State


def follow_up(
    *, job_id: int, kind: str, notes: str, lines: tuple[Written, ...], by: By, press: str, tell: bool = True
) -> Job:
    """Open a visit for what was done in a job that is handed over: its own steps, no deposit.

    The customer asked for it, so their yes is given; what is charged all the same stands in the lines.
    Raises WrongStateError or UnmetError.
    """
    with transaction.atomic():
        first = locked(job_id)
        if first.state != State.HANDED_OVER:
            raise WrongStateError(_("A visit follows from a job that is handed over."))
        if kind not in (Entry.Kind.WARRANTY, Entry.Kind.COMPLAINT):
            raise UnmetError(_("Say whether it is a warranty visit or a complaint."), "kind")
        if not notes.strip():
            raise UnmetError(_("Write what the customer says is wrong."), "notes")
        return enter_job(new=_visit(first, kind, notes.strip(), lines, tell=tell), by=by, press=press)


def _visit(first: Job, kind: str, notes: str, lines: tuple[Written, ...], *, tell: bool) -> NewJob:
    known = contact_of(first.revision)
    entry = Entry.objects.filter(job=first).first()
    in_words = entry.vehicle if entry else ""
    selection = first.revision.selection
    return NewJob(
        contact=type(known)(**{**vars(known), "notes": notes}),
        lines=lines,
        vehicle=in_words,
        generation="" if in_words else str(selection["generation"]),
        body_finish=selection.get("body_finish"),
        language=first.spec.language,
        kind=kind,
        follows=first,
        customer_asked=not any(line.amount for line in lines),
        tell=tell,
    )
