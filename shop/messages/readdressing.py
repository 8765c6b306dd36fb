"""Mails of a job whose customer turned out to be reached elsewhere."""

from __future__ import annotations

from shop.jobs.models import HistoryEntry, Job

from .delivery import promise_delivery, try_again
from .models import OutgoingMail

State = OutgoingMail.State


def readdress(job: Job, entry: HistoryEntry, *, before: str, after: str, old_token: str) -> int:
    """Send to the right address what has not gone out, and once more what went to a wrong one.

    ``old_token`` is that of the link which no longer works, when the old address was wrong: the mails
    carry the new one. Without it, what was sent arrived and is left alone. Returns how many go out.
    """
    going = 0
    for mail in job.mails.filter(to=before).order_by("pk"):
        if mail.state == State.SENT and not old_token:
            continue
        given_up = mail.state == State.FAILED
        _set(mail, job, after, old_token)
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


def _set(mail: OutgoingMail, job: Job, to: str, old_token: str) -> None:
    mail.to = to
    if old_token:
        mail.text = mail.text.replace(old_token, job.token)
        mail.html = mail.html.replace(old_token, job.token)
