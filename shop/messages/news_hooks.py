"""What the workshop is told of: builds, customers' words, dates the plan breaks, promises given up."""

from __future__ import annotations

from typing import Any

from configurator.outbox.models import OutboxEntry
from shop.jobs.models import Job
from shop.jobs.service import promise_mail
from shop.planning.models import BrokenPromise

from .models import Message, OutgoingMail
from .models_news import News, NewsSetting
from .news import KIND, setting, tell

Kind = News.Kind


def when_job_opened(sender: object, job: Job, **kwargs: Any) -> None:
    """Tell of a build that a customer sent; who enters a job at the desk knows of it."""
    if not hasattr(job, "entry"):
        tell(kind=Kind.SPEC, key=f"spec:{job.pk}", job=job)


def when_customer_wrote(message: Message) -> None:
    """Tell of what a customer wrote: at once by its own letter, else among the day's news."""
    if setting().when == NewsSetting.When.AT_ONCE:
        promise_mail(message.job, "customer_wrote", message.pk)
        return
    # Only its key is kept: the words stay where the customer's words are, and go with them.
    answer = message.read_at is not None
    tell(kind=Kind.WROTE, key=f"wrote:{message.pk}", job=message.job, message=message.pk, answer=answer)


def when_promise_broken(sender: object, broken: BrokenPromise, **kwargs: Any) -> None:
    """Tell of a fixed date that the plan no longer keeps."""
    tell(kind=Kind.BROKEN, key=f"broken:{broken.pk}", job=broken.job, because=broken.because)


def when_given_up(sender: object, entry: OutboxEntry, **kwargs: Any) -> None:
    """Tell of a promise that was given up; of a mail of ours that cannot be sent no mail can tell."""
    if entry.kind == KIND:
        return
    mails = OutgoingMail.objects.filter(pk=entry.payload.get("mail_id"))
    mail = mails.first() if entry.kind == "mail" else None
    key = f"stuck:{entry.pk}:{entry.next_attempt_at:%Y%m%d%H%M%S}"
    told = {"mail": mail.pk} if mail else {"what": entry.kind.replace("_", " ")}
    tell(kind=Kind.STUCK, key=key, job=mail.job if mail else None, error=entry.last_error[:300], **told)
