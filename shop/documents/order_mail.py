"""The mail that carries an order to its supplier: PDF and XML, in the supplier's language."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.utils import timezone

from configurator.catalogue import workshop as workshops
from configurator.outbox import service as outbox
from configurator.outbox.handlers import MAIL
from shop.parts.correspondence import OrderMail
from shop.parts.sending import KIND, letter_of
from shop.parts.ubl import order_ubl

from .models import Paper
from .service import open_paper

State = OrderMail.State


def note_failure(payload: dict[str, Any], error: str, given_up: bool) -> None:
    """Show on the order why its mail was not sent, and whether it is tried again."""
    waiting = OrderMail.objects.filter(pk=payload["mail_id"]).exclude(state=State.SENT)
    waiting.update(state=State.FAILED if given_up else State.WAITING, error=error[:300])


@outbox.handles(KIND, queue=MAIL, atomic=False, failed=note_failure)
def send_order(payload: dict[str, Any]) -> None:
    """Send one mail; one that was sent already is left alone."""
    mail = OrderMail.objects.select_related("order").get(pk=payload["mail_id"])
    if mail.state == State.SENT:
        return
    as_message(mail).send()
    OrderMail.objects.filter(pk=mail.pk).update(state=State.SENT, sent_at=timezone.now(), error="")


def as_message(mail: OrderMail) -> EmailMessage:
    """Return the mail with both files; the same Message-ID however often it is sent (RFC 5322, 3.6.4)."""
    order, workshop = mail.order, workshops.current()
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ") or "localhost"
    # A mail that was asked for before letters were kept is written now.
    letter = letter_of(order)
    paper = open_paper(kind=Paper.Kind.PURCHASE_ORDER, about=order)
    message = EmailMessage(
        subject=mail.subject or letter.subject,
        body=mail.body or letter.body,
        from_email=settings.DEFAULT_FROM_EMAIL,
        to=[mail.to],
        reply_to=[workshop.email] if workshop else None,
        headers={
            "Message-ID": f"<order.{mail.pk}.{order.number}@{domain}>",
            "Content-Language": mail.language,
        },
    )
    message.attach(f"{order.number}.pdf", paper.data, "application/pdf")
    message.attach(f"{order.number}.xml", order_ubl(order), "application/xml")
    return message
