"""A customer puts right how they are reached: the telephone at once, a mail address once it is proved.

Until the link in the mail to the new address was opened, everything goes to the old one; then the old one is
told, so that nobody is cut off from a job unawares.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import override

from configurator.catalogue import workshop as workshops
from configurator.outbox.handlers import MAIL
from configurator.outbox.service import handles, promise
from shop.jobs.desk import CORRECTED, correct_as_customer
from shop.jobs.errors import UnmetError
from shop.jobs.models import Job
from shop.jobs.models_history import HistoryEntry
from shop.jobs.moving import locked
from shop.messages.news import when_customer_changed

from .models import NEW_ADDRESS_LINK, NewAddress

ASK, TELL = "new_address", "old_address"


@transaction.atomic
def change_phone(*, job_id: int, phone: str) -> bool:
    """Keep another telephone number; return whether it was another."""
    entry = correct_as_customer(job_id=job_id, phone=phone)
    if entry:
        when_customer_changed(entry)
    return entry is not None


@transaction.atomic
def ask(*, job_id: int, email: str) -> NewAddress | None:
    """Keep a new mail address until it is proved, and promise the mail that asks; asked again, that stands.

    Returns None, and forgets an address asked for before, when it is the one that we have.
    """
    job = locked(job_id)
    row = NewAddress.objects.filter(job=job).first() or NewAddress(job=job)
    if email.strip().casefold() == job.revision.email.casefold():
        take_back(job_id=job_id)
        return None
    row.email = email.strip()
    row.renew()
    row.save()
    promise(kind=ASK, key=f"{ASK}:{row.nonce}", payload={"job_id": job.pk, "nonce": row.nonce})
    return row


def take_back(*, job_id: int) -> bool:
    """Leave the mail address as it is; the link that was mailed opens nothing any more."""
    return bool(NewAddress.objects.filter(job=job_id).delete()[0])


def find(token: str) -> NewAddress | None:
    """Return what a link to confirm is about, while it works."""
    live = NewAddress.objects.select_related("job__revision", "job__spec").filter(
        expires_at__gt=timezone.now()
    )
    return live.filter(NEW_ADDRESS_LINK.q(token)).first()


@transaction.atomic
def confirm(*, row_id: int, email: str) -> Job:
    """Reach the customer at the proved address from now on, and have the old one told.

    Raises ``UnmetError`` when another address was asked for meanwhile, or none any more.
    """
    asked = NewAddress.objects.filter(pk=row_id).values_list("job_id", flat=True).first()
    job = locked(asked) if asked else None
    row = NewAddress.objects.filter(pk=row_id, email=email).first() if job else None
    if job is None or row is None:
        raise UnmetError(_("This was changed meanwhile. Look at the page of your job."))
    entry = correct_as_customer(job_id=job.pk, email=row.email)
    row.delete()
    if entry:
        when_customer_changed(entry)
        if entry.data["before"]["email"]:
            promise(kind=TELL, key=f"{TELL}:{entry.pk}", payload={"entry_id": entry.pk})
    return job


@handles(ASK, queue=MAIL, atomic=False)
def send_question(payload: dict[str, Any]) -> None:
    """Send the mail that asks; one whose place a newer has taken, or that is answered, is not sent."""
    row = NewAddress.objects.select_related("job__spec").filter(job=payload["job_id"]).first()
    if row is None or row.nonce != payload["nonce"]:
        return
    link = settings.SITE_URL.rstrip("/") + reverse("tracking:new_address", args=[row.token])
    _mail(row.job, row.email, "mail/new_address.txt", row.nonce, link=link)


@handles(TELL, queue=MAIL, atomic=False)
def tell_old(payload: dict[str, Any]) -> None:
    """Tell the old address that mails go elsewhere from now on, without a link to the job."""
    entry = HistoryEntry.objects.select_related("job__spec").get(pk=payload["entry_id"])
    if entry.action == CORRECTED and (before := entry.data.get("before", {}).get("email")):
        _mail(entry.job, before, "mail/old_address.txt", f"{TELL}.{entry.pk}")


def _mail(job: Job, to: str, template: str, mark: str, **more: str) -> None:
    workshop = workshops.current()
    name = workshop.name if workshop else "Kerbline"
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ") or "localhost"
    with override(job.spec.language or settings.LANGUAGE_CODE):
        context = {"name": name, "workshop": workshop, "number": job.number, **more}
        subject = (
            _("Is this your mail address? %(name)s") if more else _("Your mail address was changed: %(name)s")
        )
        EmailMessage(
            subject=subject % {"name": name},
            body=render_to_string(template, context),
            to=[to],
            headers={"Auto-Submitted": "auto-generated", "Message-ID": f"<{mark}@{domain}>"},
        ).send()
