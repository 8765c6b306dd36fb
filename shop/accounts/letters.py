"""Mail about an account: an invitation, a link to a new password. The link is made as the mail is sent."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.auth.tokens import default_token_generator
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode
from django.utils.translation import get_language, gettext, override

from configurator.catalogue import workshop as workshops
from configurator.outbox import service as outbox
from configurator.outbox.handlers import MAIL

from . import preferring

KIND = "account_mail"
SUBJECTS = {
    "invitation": lambda name: gettext("Your account at %(name)s") % {"name": name},
    "reset": lambda name: gettext("A new password for %(name)s") % {"name": name},
}


def promise_account_mail(user: User, kind: str) -> None:
    """Have one mail sent after the commit; asked for again within the minute, it is still one."""
    minute = f"{timezone.now():%Y%m%d%H%M}"
    payload = {"user_id": user.pk, "kind": kind, "language": _language_for(user)}
    outbox.promise(kind=KIND, key=f"{KIND}:{kind}:{user.pk}:{minute}", payload=payload)


def _language_for(user: User) -> str:
    """Return the language that they chose, else that of the page on which the mail was asked for."""
    return preferring.of(user)["language"] or get_language() or settings.LANGUAGE_CODE


@outbox.handles(KIND, queue=MAIL, atomic=False)
def send_account_mail(payload: dict[str, Any]) -> None:
    """Send it; an account that is gone or shut off gets none."""
    user = User.objects.filter(pk=payload["user_id"], is_active=True).first()
    if user is None or not user.email:
        return
    workshop = workshops.current()
    with override(payload["language"]):
        name = workshop.name if workshop else "Kerbline"
        context = {"user": user, "name": name, "kind": payload["kind"], "link": link(user)}
        EmailMessage(
            subject=SUBJECTS[payload["kind"]](name),
            body=render_to_string("registration/account_mail.txt", context),
            to=[user.email],
            headers={"Auto-Submitted": "auto-generated"},
        ).send()


def link(user: User) -> str:
    """Return the address where a password is set; it works once, and for as long as Django's setting says."""
    uid = urlsafe_base64_encode(force_bytes(user.pk))
    path = reverse("password_set", args=[uid, default_token_generator.make_token(user)])
    return settings.SITE_URL.rstrip("/") + path
