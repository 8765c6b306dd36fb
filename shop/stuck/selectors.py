"""What is stuck: promised work that was given up, tried in vain, or that nobody takes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from configurator.models import OutboxEntry, Photo
from shop.jobs.models import Job
from shop.messages.models import OutgoingMail
from shop.money.models import Invoice
from shop.parts.correspondence import OrderMail
from shop.wanted.models import RequestMail

OVERDUE = timedelta(minutes=10)
MOST = 100
State = OutboxEntry.State
KINDS: dict[str, str | Promise] = {
    "mail": _("Mail to a customer"),
    "job_mail": _("Mail of a job to be written"),
    "open_job": _("Job of a sent build to be opened"),
    "order_mail": _("Order to a supplier"),
    "account_mail": _("Mail of an account"),
    "confirm_mail": _("Mail that asks for the address"),
    "job_links": _("Link asked for by mail"),
    "request_mail": _("Mail about a vehicle asked for"),
    "photo": _("Photo to be prepared"),
    "paper": _("Paper to be made"),
    "replan": _("New plan"),
    "parts_progress": _("Parts of a job to be looked at"),
}
OTHER = _("Work after a change")


@dataclass(frozen=True)
class Stuck:
    """One promise that is not kept: what it is, of which job, since when, how often tried and why not."""

    entry: OutboxEntry
    what: str | Promise
    job: Job | None = None
    about: str = ""

    @property
    def is_given_up(self) -> bool:
        """Whether nobody tries it any more until a person says so."""
        return self.entry.state == State.FAILED

    @property
    def since(self) -> datetime:
        """When it was promised."""
        return self.entry.made_at


def stuck_rows() -> QuerySet[OutboxEntry]:
    """Return promises given up, tried in vain, or due for long without anybody taking them."""
    now = timezone.now()
    overdue = Q(state=State.WAITING) & (
        Q(next_attempt_at__lt=now - OVERDUE) | Q(made_at__lt=now - OVERDUE, attempts__gte=1)
    )
    return OutboxEntry.objects.filter(Q(state=State.FAILED) | overdue)


def count() -> int:
    """Return how much is stuck: one query."""
    return stuck_rows().count()


def stuck() -> list[Stuck]:
    """Return what is stuck, given up first, longest first; each with its job where it has one."""
    rows = list(stuck_rows().order_by("state", "made_at")[:MOST])
    jobs = _jobs(rows)
    return [_told(row, jobs.get(row.pk)) for row in rows]


def _told(row: OutboxEntry, found: tuple[Job | None, str] | None) -> Stuck:
    job, about = found or (None, "")
    return Stuck(row, KINDS.get(row.kind, OTHER), job, about)


def _jobs(rows: list[OutboxEntry]) -> dict[int, tuple[Job | None, str]]:
    """Return by promise its job and what it is about, in one query a kind."""
    found = _of_papers([row for row in rows if row.kind == "paper"])
    for kind, key, look in FINDERS:
        of_kind = {row.pk: row.payload.get(key) for row in rows if row.kind == kind}
        known = look({value for value in of_kind.values() if value is not None}) if of_kind else {}
        found |= {pk: known[value] for pk, value in of_kind.items() if value in known}
    return found


def _of_mails(keys: set[Any]) -> dict[Any, tuple[Job | None, str]]:
    mails = OutgoingMail.objects.select_related("job").filter(pk__in=keys)
    return {mail.pk: (mail.job, f"{mail.subject} – {mail.to}") for mail in mails}


def _of_orders(keys: set[Any]) -> dict[Any, tuple[Job | None, str]]:
    mails = OrderMail.objects.select_related("order").filter(pk__in=keys)
    return {mail.pk: (None, f"{mail.order.number} – {mail.to}") for mail in mails}


def _of_requests(keys: set[Any]) -> dict[Any, tuple[Job | None, str]]:
    mails = RequestMail.objects.filter(pk__in=keys)
    return {mail.pk: (None, f"{mail.subject} – {mail.to}") for mail in mails}


def _of_photos(keys: set[Any]) -> dict[Any, tuple[Job | None, str]]:
    photos = Photo.objects.filter(pk__in=keys).select_related("spec__job")
    return {photo.pk: (getattr(photo.spec, "job", None), photo.label) for photo in photos}


def _of_jobs(keys: set[Any]) -> dict[Any, tuple[Job | None, str]]:
    return {job.pk: (job, "") for job in Job.objects.filter(pk__in=keys)}


def _of_papers(rows: list[OutboxEntry]) -> dict[int, tuple[Job | None, str]]:
    invoices = {row.payload["about"] for row in rows if row.payload.get("kind") == "invoice"}
    of_invoices = {one.pk: one.job for one in Invoice.objects.select_related("job").filter(pk__in=invoices)}
    of_jobs = _of_jobs({row.payload.get("about") for row in rows})
    found: dict[int, tuple[Job | None, str]] = {}
    for row in rows:
        kind, about = str(row.payload.get("kind", "")), row.payload.get("about")
        job = of_invoices.get(about) if kind == "invoice" else of_jobs.get(about, (None, ""))[0]
        found[row.pk] = (None if kind == "purchase order" else job, kind)
    return found


FINDERS = (
    ("mail", "mail_id", _of_mails),
    ("order_mail", "mail_id", _of_orders),
    ("request_mail", "mail_id", _of_requests),
    ("photo", "photo_id", _of_photos),
    ("job_mail", "job_id", _of_jobs),
)
