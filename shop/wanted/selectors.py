"""Requests as staff look for them, and what waits for the workshop."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Count, Q, QuerySet

from configurator.catalogue import snapshot
from configurator.catalogue.selectors import unmeasured_axles

from .models import VehicleRequest

State = VehicleRequest.State
HERE = (State.OPEN, State.TAKEN, State.READY, State.DECLINED, State.WITHDRAWN)
"""Drafts, and what waits for its address to be proved, are nobody's business yet."""


def requests() -> QuerySet[VehicleRequest]:
    """Return every request that reached the workshop."""
    return VehicleRequest.objects.filter(state__in=HERE)


NAMED = Q(state=State.TAKEN) & ~Q(generation="")
"""Taken up, with the vehicle that will answer it: its customer is told once that can be built on."""


def waiting() -> QuerySet[VehicleRequest]:
    """Return those that wait for the workshop: unanswered, or with a vehicle that can be told of."""
    named = requests().filter(NAMED).order_by().values_list("generation", flat=True).distinct()
    return requests().filter(Q(asks_us=True) | NAMED & Q(generation__in=_finished(named)))


def waiting_count() -> int:
    """Return how many wait: one query, and the catalogue only when somebody waits for a vehicle in it."""
    rows = requests().filter(Q(asks_us=True) | NAMED).order_by().values_list("asks_us", "generation")
    counts = list(rows.annotate(n=Count("pk")))
    finished = _finished(code for asks_us, code, _n in counts if not asks_us)
    return sum(n for asks_us, code, n in counts if asks_us or code in finished)


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


def _finished(named: Iterable[str]) -> list[str]:
    """Return those of the vehicles that are measured on both axles."""
    if not (codes := set(named)):
        return []
    catalogue = snapshot.current()
    known = codes & set(catalogue.generations)
    return sorted(code for code in known if not unmeasured_axles(catalogue, code))
