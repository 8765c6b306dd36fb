"""Requests as staff look for them, and what waits for the workshop."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from configurator.catalogue import snapshot
from configurator.catalogue.selectors import unmeasured_axles

from .models import VehicleRequest

State = VehicleRequest.State
HERE = (State.OPEN, State.TAKEN, State.READY, State.DECLINED, State.WITHDRAWN)
"""Drafts, and what waits for its address to be proved, are nobody's business yet."""


def requests() -> QuerySet[VehicleRequest]:
    """Return every request that reached the workshop."""
    return VehicleRequest.objects.filter(state__in=HERE)


def waiting() -> QuerySet[VehicleRequest]:
    """Return those that wait for the workshop: unanswered, or with a vehicle that can be told of."""
    return requests().filter(Q(asks_us=True) | Q(state=State.TAKEN, generation__in=list(_finished())))


def open_ones() -> QuerySet[VehicleRequest]:
    """Return those that are not over."""
    return requests().filter(state__in=(State.OPEN, State.TAKEN))


def over() -> QuerySet[VehicleRequest]:
    """Return those that are over."""
    return requests().exclude(state__in=(State.OPEN, State.TAKEN))


def others_of(row: VehicleRequest) -> QuerySet[VehicleRequest]:
    """Return what the same person asked besides, by mail address or telephone number as typed."""
    same = Q(pk__in=())
    if row.email:
        same |= Q(email__iexact=row.email)
    if row.phone:
        same |= Q(phone=row.phone)
    return requests().filter(same).exclude(pk=row.pk)


def _finished() -> Iterable[str]:
    """Yield the vehicles that named requests wait for and that are measured on both axles."""
    named = open_ones().exclude(generation="").values_list("generation", flat=True).distinct()
    catalogue = snapshot.current()
    for code in named:
        if code in catalogue.generations and not unmeasured_axles(catalogue, code):
            yield code
