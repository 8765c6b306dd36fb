"""What follows from a job's move, in the transaction of the move: mail of the steps between, and the
conversation that keeps every question and answer in one place."""

from __future__ import annotations

from typing import Any

from django.db.models import F
from django.urls import reverse
from django.utils.translation import gettext as _

from shop.jobs.models import Job
from shop.jobs.models_history import HistoryEntry
from shop.jobs.service import promise_mail
from shop.jobs.signals import Notice, Saying
from shop.jobs.states import CUSTOMER, State

from .models import Message, OutgoingMail
from .news_hooks import when_customer_wrote
from .readdressing import readdress

# Moves that the jobs service sends no mail for by itself.
MAIL_ON = {
    (State.SENT, State.IN_REVIEW): "in_review",
    (State.DEPOSIT_IN, State.PARTS_ON_ORDER): "parts_on_order",
    (State.PARTS_ON_ORDER, State.PARTS_IN): "parts_in",
    (State.DEPOSIT_IN, State.PARTS_IN): "parts_in",
    (State.BOOKED, State.IN_THE_BAY): "in_the_bay",
}


def when_job_moved(
    sender: object, job: Job, source: str, to: str, entry: HistoryEntry, **kwargs: Any
) -> None:
    """Promise the mail of this move and keep what was asked or answered with it."""
    kind = MAIL_ON.get((State(source), State(to)))
    if kind == "parts_in" and not job.parts.filter(dropped=False).exists():
        kind = None
    if kind:
        promise_mail(job, kind, entry.pk)
    why = job.revision.why if is_offer(job) else entry.why
    asked = to == State.WAITING
    answered = (source, to, entry.who) == (State.WAITING, State.IN_REVIEW, CUSTOMER)
    if why and why != "agreed" and (asked or answered):
        # An answer moves the job, so the workshop's inbox tells of it already.
        message = Message.objects.create(
            job=job,
            from_customer=answered,
            user=entry.user,
            text=why,
            press=f"entry:{entry.pk}",
            read_at=entry.at if answered else None,
        )
        if answered:
            when_customer_wrote(message)


def is_offer(job: Job) -> bool:
    """Whether the customer is asked for a yes to a revision, and not just a question."""
    return job.state == State.WAITING and job.workshop_agreed_revision_id == job.revision_id


def when_asked_who_asks(sender: object, **kwargs: Any) -> list[Any]:
    """Answer with the jobs whose customer wrote unread, or of which a mail was given up."""
    unread = Message.objects.filter(from_customer=True, read_at=None)
    given_up = OutgoingMail.objects.filter(state=OutgoingMail.State.FAILED)
    return [unread.values("job_id"), given_up.values("job_id")]


def when_asked_for_notices(sender: object, **kwargs: Any) -> list[Saying]:
    """Answer with the mails that were given up: somebody has to ring, or try it again."""
    failed = OutgoingMail.objects.filter(state=OutgoingMail.State.FAILED)
    return [Saying(failed, _not_sent, F("subject"))]


def _not_sent(job: Job, subjects: list[str]) -> list[Notice]:
    """Tell of the first: its page has the others."""
    text = _("A mail was not sent: %(subject)s") % {"subject": subjects[0]}
    return [Notice(text, reverse("shop:job_messages", args=[job.number]))]


def when_contact_corrected(
    sender: object, job: Job, entry: HistoryEntry, before: str, after: str, renewed: bool, **kwargs: Any
) -> None:
    """Send the job's mails to where the customer is reached."""
    readdress(job, entry, before=before, after=after, renewed=renewed)
