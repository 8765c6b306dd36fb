"""Mails about requests: written as rows in the transaction of the deed, sent after it, tried again.

A worker that dies after the mail server's yes sends once more, under the same Message-ID.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone, translation

from configurator.catalogue import workshop as workshops
from configurator.models import Workshop
from configurator.outbox import service as outbox
from configurator.outbox.handlers import MAIL
from shop.messages.models import LINK_MARK
from shop.messages.writing import one_line

from .letters import LETTERS, Occasion
from .models import RequestMail, VehicleRequest

KIND = "request_mail"
State = RequestMail.State


def key_of(mail_id: int) -> str:
    """Return the key of the promise to send one mail."""
    return f"{KIND}:{mail_id}"


def link_to(request: VehicleRequest) -> str:
    """Return the whole address of the customer's page."""
    return settings.SITE_URL.rstrip("/") + reverse("wanted:page", args=[request.token])


def write(request: VehicleRequest, kind: str, *, why: str = "", occasion: str = "") -> RequestMail | None:
    """Write one mail and promise it; who gave no address gets none. The same occasion is written once."""
    if not request.email:
        return None
    workshop = workshops.current() or Workshop(name="Kerbline", email=settings.DEFAULT_FROM_EMAIL)
    with translation.override(request.language):
        on = Occasion(request, workshop, link_to(request), why)
        said = LETTERS[kind](on)
        context = {"letter": said, "on": on, "language": request.language}
        columns = {
            "request": request,
            "kind": kind,
            "language": request.language,
            "to": request.email,
            "subject": one_line(said.subject),
            "text": render_to_string("mail/letter.txt", context).replace(request.token, LINK_MARK),
            "html": render_to_string("mail/letter.html", context).replace(request.token, LINK_MARK),
        }
    key = f"{kind}:{request.pk}:{occasion}"
    mail, made = RequestMail.objects.get_or_create(key=key, defaults=columns)
    if made:
        outbox.promise(kind=KIND, key=key_of(mail.pk), payload={"mail_id": mail.pk})
    return mail


def note_failure(payload: dict[str, Any], error: str, given_up: bool) -> None:
    """Show beside the mail why it was not sent, and whether it will be tried again."""
    waiting = RequestMail.objects.filter(pk=payload["mail_id"]).exclude(state=State.SENT)
    waiting.update(state=State.FAILED if given_up else State.WAITING, error=error[:300])


@outbox.handles(KIND, queue=MAIL, atomic=False, failed=note_failure)
def send(payload: dict[str, Any]) -> None:
    """Send one mail; one that was sent, or whose request is gone, is left alone.

    A question whose link was renewed, since another address was typed, is not asked any more.
    """
    mail = RequestMail.objects.select_related("request").filter(pk=payload["mail_id"]).first()
    if mail is None or mail.state == State.SENT:
        return
    is_asked = mail.request.state == VehicleRequest.State.UNPROVED and mail.to == mail.request.email
    if mail.kind != "confirm" or is_asked:
        as_message(mail).send()
    RequestMail.objects.filter(pk=mail.pk).update(state=State.SENT, sent_at=timezone.now(), error="")


def as_message(mail: RequestMail) -> EmailMultiAlternatives:
    """Return the row as a mail with the private link that works now (RFC 5322, 3.6.4: one Message-ID)."""
    workshop = workshops.current()
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ") or "localhost"
    token = mail.request.token
    message = EmailMultiAlternatives(
        subject=mail.subject,
        body=mail.text.replace(LINK_MARK, token),
        from_email=settings.DEFAULT_FROM_EMAIL,
        to=[mail.to],
        reply_to=[workshop.email] if workshop and workshop.email else None,
        headers={
            "Message-ID": f"<request.{mail.pk}.{mail.request_id}@{domain}>",
            "Auto-Submitted": "auto-generated",
            "Content-Language": mail.language,
        },
    )
    message.attach_alternative(mail.html.replace(LINK_MARK, token), "text/html")
    return message


@transaction.atomic
def try_again(mail_id: int) -> bool:
    """Give one mail that was given up another set of tries; return whether it was one."""
    if not RequestMail.objects.filter(pk=mail_id, state=State.FAILED).update(state=State.WAITING):
        return False
    return bool(outbox.try_again([key_of(mail_id)]))
