"""Whether this process lives, whether it can work, and figures for a monitor."""

from __future__ import annotations

import hmac
from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.core.cache import cache
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Count, Min
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Gauge, generate_latest
from prometheus_client.registry import REGISTRY

from configurator.models import OutboxEntry
from configurator.outbox.handlers import queue_of

LATE = timedelta(minutes=15)
"""How long a promise may be due before the site counts as not ready: nobody keeps promises then."""


@never_cache
@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """Say that this process answers; asks nothing of anyone else."""
    return JsonResponse({"alive": True})


@never_cache
@require_safe
def readyz(request: HttpRequest) -> HttpResponse:
    """Say what this process needs and whether it is there: 200 when all is, else 503 naming what is not."""
    found = {name: _tried(check) for name, check in CHECKS.items()}
    wrong = {name: what for name, what in found.items() if what}
    return JsonResponse({"ready": not wrong, "wrong": wrong}, status=503 if wrong else 200)


def _tried(check: Callable[[], str]) -> str:
    try:
        return check()
    except Exception as error:
        # Only the kind of fault: a message may hold an address or a password.
        return type(error).__name__


def database() -> str:
    """Return what is wrong with the database, or nothing."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    executor = MigrationExecutor(connection)
    waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return f"{len(waiting)} migrations are not applied" if waiting else ""


def cached() -> str:
    """Return what is wrong with the cache, or nothing."""
    cache.set("readyz", "yes", 30)
    return "" if cache.get("readyz") == "yes" else "the cache forgets"


def promises() -> str:
    """Return whether work waits that nobody does."""
    oldest = oldest_due()
    if oldest is None or timezone.now() - oldest < LATE:
        return ""
    return f"work has been due for {int((timezone.now() - oldest).total_seconds() // 60)} minutes"


def oldest_due() -> datetime | None:
    """Return since when the promise that waits longest has been due."""
    due = OutboxEntry.objects.filter(state=OutboxEntry.State.WAITING, next_attempt_at__lte=timezone.now())
    return due.aggregate(first=Min("next_attempt_at"))["first"]


CHECKS: dict[str, Callable[[], str]] = {"database": database, "cache": cached, "promises": promises}


@never_cache
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """Return figures in the text form that Prometheus reads, to who knows ``KERBLINE_METRICS_TOKEN``."""
    wanted = settings.METRICS_TOKEN
    given = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if not wanted or not hmac.compare_digest(given.encode(), wanted.encode()):
        raise Http404
    return HttpResponse(generate_latest(REGISTRY) + generate_latest(_own()), content_type=CONTENT_TYPE_LATEST)


def _own() -> CollectorRegistry:
    registry = CollectorRegistry()
    waiting = Gauge("kerbline_promises_waiting", "Promises not kept yet", ["queue"], registry=registry)
    failed = Gauge("kerbline_promises_given_up", "Promises given up", ["queue"], registry=registry)
    age = Gauge("kerbline_promises_oldest_due_seconds", "How long work has been due", registry=registry)
    rows = OutboxEntry.objects.exclude(state=OutboxEntry.State.DONE).order_by().values_list("kind", "state")
    try:
        for kind, state, count in rows.annotate(n=Count("pk")):
            (failed if state == OutboxEntry.State.FAILED else waiting).labels(queue_of(kind)).inc(count)
        oldest = oldest_due()
        age.set((timezone.now() - oldest).total_seconds() if oldest else 0)
    except DatabaseError:
        age.set(float("nan"))
    return registry
