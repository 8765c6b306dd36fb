"""What customer and workshop say to each other about a job: written once, read once."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.jobs.errors import PressUsedError, UnmetError
from shop.jobs.models import Job
from shop.jobs.service import locked, promise_mail

from .models import Message
from .news_hooks import when_customer_wrote

CUSTOMER_MAX_AN_HOUR = 20


@transaction.atomic
def write_as_customer(*, job_id: int, text: str, press: str) -> bool:
    """Keep what the customer wrote and tell the workshop by mail; a second press writes nothing.

    Raises ``UnmetError`` when there is no text, or when too much came within the hour.
    """
    job = locked(job_id)
    since = timezone.now() - timedelta(hours=1)
    if job.messages.filter(from_customer=True, at__gt=since).count() >= CUSTOMER_MAX_AN_HOUR:
        raise UnmetError(_("That is a lot within an hour. Please call us instead."), "text")
    message = _write(job, text, f"customer:{press}"[:40], from_customer=True)
    if message:
        when_customer_wrote(message)
    return message is not None


@transaction.atomic
def write_as_workshop(*, job_id: int, text: str, press: str, user: Any) -> bool:
    """Keep what the workshop wrote and mail it to the customer; a second press writes nothing.

    Raises ``PressUsedError`` for a form that was sent before with another text.
    """
    job = locked(job_id)
    if Message.objects.filter(press=f"staff:{press}"[:40]).exclude(job=job, text=text.strip()).exists():
        raise PressUsedError
    message = _write(job, text, f"staff:{press}"[:40], from_customer=False, user=user)
    if message:
        promise_mail(job, "message", message.pk)
    return message is not None


def _write(job: Job, text: str, press: str, **who: Any) -> Message | None:
    if not text.strip():
        raise UnmetError(_("Write something."), "text")
    message, made = Message.objects.get_or_create(
        press=press, defaults={"job": job, "text": text.strip(), **who}
    )
    return message if made else None


def mark_read(job: Job, *, by_customer: bool) -> int:
    """Note that the other side's messages have been seen; return how many were new."""
    unread = Message.objects.filter(job=job, from_customer=not by_customer, read_at=None)
    return unread.update(read_at=timezone.now())
