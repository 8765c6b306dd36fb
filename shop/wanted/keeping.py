"""Requests as what is kept about a person: found by mail address, given out, forgotten, let go of."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q, QuerySet
from django.utils import timezone

from . import deeds
from .models import RequestEntry, VehicleRequest
from .service import PROVED_WITHIN

State = VehicleRequest.State
OWN = ("maker", "model", "year", "wish", "name", "email", "phone", "language", "state", "consent_text",
       "made_at", "sent_at")  # fmt: skip
DRAFTS_FOR = timedelta(days=2)


def of_person(email: str) -> QuerySet[VehicleRequest]:
    """Return the requests of a mail address, however it is spelt in case."""
    return VehicleRequest.objects.filter(email__iexact=email.strip()) if email.strip() else _none()


def told(row: VehicleRequest) -> dict[str, Any]:
    """Return what is kept of a request, without keys and other people; photos are files beside it."""
    said: list[RequestEntry] = list(row.entries.all())
    return {name: getattr(row, name) for name in OWN} | {
        "entries": [{"kind": one.kind, "text": one.text, "at": one.at} for one in said],
        "mails": [
            {"subject": mail.subject, "text": mail.text, "sent_at": mail.sent_at} for mail in row.mails.all()
        ],
    }


def forget(rows: QuerySet[VehicleRequest]) -> int:
    """Delete requests for good; return how many. None of them is needed for the books."""
    keys = list(rows.values_list("pk", flat=True))
    for key in keys:
        deeds.forget(key)
    return len(keys)


def purge(over_before: datetime) -> int:
    """Let go of requests that have been over for long, and of what was never sent; return how many."""
    now = timezone.now()
    over = Q(state__in=(State.READY, State.DECLINED, State.WITHDRAWN), asks_us=False)
    old = Q(state_since__lt=over_before)
    drafts = Q(state=State.DRAFT, made_at__lt=now - DRAFTS_FOR)
    unproved = Q(state=State.UNPROVED, made_at__lt=now - PROVED_WITHIN)
    return forget(VehicleRequest.objects.filter((over & old) | drafts | unproved))


def _none() -> QuerySet[VehicleRequest]:
    return VehicleRequest.objects.none()
