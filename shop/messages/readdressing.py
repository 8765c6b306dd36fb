"""Mails of a job whose customer turned out to be reached elsewhere."""

from __future__ import annotations

from shop.jobs.models import Job
from shop.jobs.models_history import HistoryEntry

from .delivery import promise_delivery, try_again
from .models import OutgoingMail

State = OutgoingMail.State


def readdress(job: Job, entry: HistoryEntry, *, before: str, after: str, renewed: bool) -> int:
    """Send to the right address what has not gone out, and once more what went to a wrong one.

    ``renewed``: the old address was wrong and the link that went there no longer works; each mail carries
    the link of the moment it is sent. Otherwise what was sent arrived and is left alone. Returns how many
    go out.
    """
    going = 0
    for mail in job.mails.filter(to=before).order_by("pk"):
        if mail.state == State.SENT and not renewed:
            continue
        given_up = mail.state == State.FAILED
        mail.to = after
        if mail.state == State.SENT:
            mail.pk, mail.state, mail.sent_at = None, State.WAITING, None
            mail.key = f"again:{entry.pk}:{mail.key}"[:120]
            mail.save()
            promise_delivery(mail)
        else:
            mail.save(update_fields=["to", "text", "html"])
        if given_up:
            try_again(mail.pk)
        going += 1
    return going
