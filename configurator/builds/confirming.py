"""Whose mail address it is: a build goes to the workshop once the link in a mail has been opened.

Otherwise anybody could have the workshop write to a stranger, again and again. The mail that asks says
nothing that the sender typed. A browser that has confirmed an address sends with it at once from then on.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, override

from configurator.catalogue import workshop as workshops
from configurator.outbox.handlers import MAIL
from configurator.outbox.service import handles, promise

from .models import Spec
from .models_sending import CONFIRM_LINK, PendingSend
from .sending import Contact, SentResult, send_build
from .service import AlreadySentError

KIND = "confirm_mail"


class ChangedSinceError(Exception):
    """The build was changed after it was sent: it has to be looked at and sent once more."""


@transaction.atomic
def ask(
    *, spec_id: int, contact: Contact, terms_version: str, terms_text: str, privacy_version: str = ""
) -> PendingSend:
    """Keep what is to be sent and promise the mail that asks; sent again, the newer one stands.

    Raises ``AlreadySentError``.
    """
    spec = Spec.objects.select_for_update().get(pk=spec_id)
    if spec.sent_at:
        raise AlreadySentError
    pending = PendingSend.objects.filter(spec=spec).first() or PendingSend(spec=spec)
    pending.email, pending.contact, pending.selection = contact.email, asdict(contact), spec.selection
    pending.terms_version, pending.terms_text = terms_version, terms_text
    pending.privacy_version = privacy_version
    pending.renew()
    pending.save()
    promise(kind=KIND, key=f"{KIND}:{pending.nonce}", payload={"spec_id": spec.pk, "nonce": pending.nonce})
    return pending


def find(token: str) -> PendingSend | None:
    """Return what a link to confirm is about, while it works."""
    live = PendingSend.objects.select_related("spec").filter(expires_at__gt=timezone.now())
    return live.filter(CONFIRM_LINK.q(token)).first()


@transaction.atomic
def confirm(pending: PendingSend) -> SentResult:
    """Send the build; done twice it is sent once.

    Raises ``ChangedSinceError``, and what sending raises: the address is proved all the same.
    """
    spec = Spec.objects.select_for_update().get(pk=pending.spec_id)
    if not spec.sent_at and spec.selection != pending.selection:
        raise ChangedSinceError
    contact = Contact(**pending.contact) if pending.contact else Contact(name="", email=pending.email)
    sent = send_build(
        spec_id=spec.pk,
        contact=contact,
        terms_version=pending.terms_version,
        terms_text=pending.terms_text,
        privacy_version=pending.privacy_version,
    )
    # Whose it is stands with the revision now; the link goes on saying that it was sent.
    PendingSend.objects.filter(pk=pending.pk).update(contact={}, selection={}, terms_text="")
    return sent


@handles(KIND, queue=MAIL, atomic=False)
def send_question(payload: dict[str, Any]) -> None:
    """Send the mail that asks; one that a newer has taken the place of, or that is answered, is not sent."""
    pending = PendingSend.objects.select_related("spec").filter(spec=payload["spec_id"]).first()
    if pending is None or pending.nonce != payload["nonce"] or pending.spec.sent_at:
        return
    workshop = workshops.current()
    with override(pending.spec.language):
        name = workshop.name if workshop else "Kerbline"
        link = settings.SITE_URL.rstrip("/") + reverse("configurator:confirm", args=[pending.token])
        EmailMessage(
            subject=gettext("Is this your mail address? %(name)s") % {"name": name},
            body=render_to_string("mail/confirm.txt", {"name": name, "link": link, "workshop": workshop}),
            to=[pending.email],
            headers={
                "Auto-Submitted": "auto-generated",
                "Message-ID": f"<{payload['nonce']}@{_domain()}>",
            },
        ).send()


def _domain() -> str:
    return settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ") or "localhost"
