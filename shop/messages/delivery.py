"""Sending the rows, one promise of the outbox each: sent outside any transaction, then marked.

What can still go wrong: a machine that dies between the mail server's yes and our mark leaves the promise
claimed. When the claim runs out it is sent again, so a mail may arrive twice, never not at all. Both
copies carry one Message-ID, by which mail programs know them for the same.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.db import transaction
from django.utils import timezone

from configurator.catalogue import workshop as workshops
from configurator.outbox import service as outbox
from configurator.outbox.handlers import MAIL

from .models import LINK_MARK, OutgoingMail
from .pictures import inline_picture

KIND = "mail"
State = OutgoingMail.State


def key_of(mail_id: int) -> str:
    """Return the key of the promise to send one mail."""
    return f"{KIND}:{mail_id}"


def promise_delivery(mail: OutgoingMail) -> None:
    """Have a mail sent once the transaction that wrote it commits."""
    outbox.promise(kind=KIND, key=key_of(mail.pk), payload={"mail_id": mail.pk})


def note_failure(payload: dict[str, Any], error: str, given_up: bool) -> None:
    """Show beside the mail why it was not sent, and whether it will be tried again."""
    waiting = OutgoingMail.objects.filter(pk=payload["mail_id"]).exclude(state=State.SENT)
    waiting.update(state=State.FAILED if given_up else State.WAITING, error=error)


@outbox.handles(KIND, queue=MAIL, atomic=False, failed=note_failure)
def deliver(payload: dict[str, Any]) -> None:
    """Send one mail; one that was sent already, or was taken back meanwhile, is left alone."""
    mail = OutgoingMail.objects.select_related("job", "revision").filter(pk=payload["mail_id"]).first()
    if mail is None or mail.state == State.SENT:
        return
    as_message(mail).send()
    OutgoingMail.objects.filter(pk=mail.pk).update(state=State.SENT, sent_at=timezone.now(), error="")


def as_message(mail: OutgoingMail) -> EmailMultiAlternatives:
    """Return the row as a mail of text and HTML, with the picture of the vehicle inside when it has one."""
    workshop = workshops.current()
    message = EmailMultiAlternatives(
        subject=mail.subject,
        body=with_link(mail, mail.text),
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
        message.attach_alternative(with_link(mail, mail.html), "text/html")
        if mail.revision and (picture := inline_picture(mail.revision)):
            message.mixed_subtype = "related"  # type: ignore[attr-defined]
            message.attach(picture)
    return message


def with_link(mail: OutgoingMail, text: str) -> str:
    """Return a stored text as it is sent: with the private link that works at that moment."""
    return text.replace(LINK_MARK, mail.job.token)


def message_id(mail: OutgoingMail) -> str:
    """Return the mail's one Message-ID (RFC 5322, 3.6.4): the same however often it is sent."""
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ") or "localhost"
    return f"<{mail.pk}.{mail.key.replace(':', '.')}@{domain}>"


@transaction.atomic
def try_again(mail_id: int) -> bool:
    """Give one mail that was given up another set of tries; return whether it was one."""
    failed = OutgoingMail.objects.filter(pk=mail_id, state=State.FAILED)
    if not failed.update(state=State.WAITING):
        return False
    return bool(outbox.try_again([key_of(mail_id)]))
