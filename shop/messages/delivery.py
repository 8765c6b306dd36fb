"""Sending the rows: claimed and committed first, sent outside any transaction, then marked.

What can still go wrong: a machine that dies between the mail server's yes and our mark leaves a row
claimed. When the claim runs out it is sent again, so a mail may arrive twice, never not at all. Both
copies carry one Message-ID, by which mail programs know them for the same.
"""

from __future__ import annotations

import logging
from datetime import timedelta

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from configurator.catalogue import workshop as workshops

from .models import OutgoingMail
from .pictures import inline_picture

logger = logging.getLogger(__name__)
State = OutgoingMail.State
CLAIM = timedelta(minutes=10)
FIRST_DELAY = timedelta(minutes=1)
MAX_ATTEMPTS = 8


def deliver(mail_id: int) -> bool:
    """Send one mail if it is due and nobody else is at it; return whether this call sent it."""
    if not _claim(mail_id):
        return False
    mail = OutgoingMail.objects.select_related("job", "revision").get(pk=mail_id)
    try:
        as_message(mail).send()
    except Exception as error:
        logger.exception("mail %s was not sent", mail.key)
        _put_off(mail, error)
        return False
    OutgoingMail.objects.filter(pk=mail_id).update(state=State.SENT, sent_at=timezone.now(), error="")
    return True


def _claim(mail_id: int) -> bool:
    """Take a row that waits, or whose claim ran out, by one conditional update."""
    now = timezone.now()
    due = OutgoingMail.objects.filter(_due(now), pk=mail_id)
    return bool(due.update(state=State.SENDING, attempts=F("attempts") + 1, next_attempt_at=now + CLAIM))


def _due(now: object) -> Q:
    return Q(state__in=[State.WAITING, State.SENDING], next_attempt_at__lte=now)


def _put_off(mail: OutgoingMail, error: Exception) -> None:
    given_up = mail.attempts >= MAX_ATTEMPTS
    OutgoingMail.objects.filter(pk=mail.pk).update(
        state=State.FAILED if given_up else State.WAITING,
        next_attempt_at=timezone.now() + FIRST_DELAY * 2 ** (mail.attempts - 1),
        error=f"{type(error).__name__}: {error}"[:2000],
    )


def as_message(mail: OutgoingMail) -> EmailMultiAlternatives:
    """Return the row as a mail of text and HTML, with the picture of the vehicle inside when it has one."""
    workshop = workshops.current()
    message = EmailMultiAlternatives(
        subject=mail.subject,
        body=mail.text,
        from_email=settings.DEFAULT_FROM_EMAIL,
        to=[mail.to],
        reply_to=[workshop.email] if workshop and workshop.email != mail.to else None,
        headers={
            "Message-ID": message_id(mail),
            "Auto-Submitted": "auto-generated",
            "Content-Language": mail.language,
        },
    )
    if mail.html:
        message.attach_alternative(mail.html, "text/html")
        if mail.revision and (picture := inline_picture(mail.revision)):
            message.mixed_subtype = "related"  # type: ignore[attr-defined]
            message.attach(picture)
    return message


def message_id(mail: OutgoingMail) -> str:
    """Return the mail's one Message-ID (RFC 5322, 3.6.4): the same however often it is sent."""
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ") or "localhost"
    return f"<{mail.pk}.{mail.key.replace(':', '.')}@{domain}>"


def retry_failed() -> int:
    """Give the mails that were given up another set of tries; return how many."""
    return _again(OutgoingMail.objects.all())


def try_again(mail_id: int) -> bool:
    """Give one mail that was given up another set of tries, now; return whether it was one."""
    from .tasks import deliver_mail

    if not _again(OutgoingMail.objects.filter(pk=mail_id)):
        return False
    transaction.on_commit(lambda: deliver_mail.delay(mail_id), robust=True)
    return True


def _again(mails: QuerySet[OutgoingMail]) -> int:
    failed = mails.filter(state=State.FAILED)
    return failed.update(state=State.WAITING, attempts=0, next_attempt_at=timezone.now())


def sweep(limit: int = 200) -> int:
    """Hand over again every mail that is due; return how many."""
    from .tasks import deliver_mail

    due = OutgoingMail.objects.filter(_due(timezone.now())).order_by("next_attempt_at")
    ids = list(due.values_list("pk", flat=True)[:limit])
    for mail_id in ids:
        deliver_mail.delay(mail_id)
    return len(ids)
