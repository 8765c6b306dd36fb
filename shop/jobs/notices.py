"""What the jobs room itself has to say of a job in lists and at its head: changes waiting or refused."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.db.models import Exists, F, OuterRef
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.pages import told_codes

from .models import Job, Measurement
from .models_lines import Proposal
from .signals import Notice, Saying
from .states import CLOSED

REFUSED_FOR = timedelta(days=2)
"""How long a no stands in the inbox: long enough to be read, since the job goes on without it."""


def _open() -> Any:
    return Proposal.objects.filter(state=Proposal.State.OPEN)


def _refused() -> Any:
    since = timezone.now() - REFUSED_FOR
    found = Proposal.objects.filter(state=Proposal.State.REFUSED, answered_at__gte=since)
    return found.exclude(job__state__in=CLOSED)


def _measured_no() -> Any:
    """Return what does not fit as measured, where nothing newer was measured for the build worked on."""
    newer = Measurement.objects.filter(
        job=OuterRef("job"), axle=OuterRef("axle"), check_id=OuterRef("check_id"), pk__gt=OuterRef("pk")
    )
    found = Measurement.objects.filter(verdict="no", revision=F("job__revision"))
    return found.exclude(job__state__in=CLOSED).exclude(Exists(newer))


def when_asked_who_asks(sender: object, **kwargs: Any) -> list[Any]:
    """Answer with the jobs whose customer said no lately; what waits for them asks nobody here."""
    return [_refused().values("job_id"), _measured_no().values("job_id")]


def when_asked_for_notices(sender: object, **kwargs: Any) -> list[Saying]:
    """Answer with what waits for the customer's yes, what they said no to, and what does not fit."""
    return [
        Saying(_open(), _waits, F("why"), "number"),
        Saying(_refused(), _refusals, F("why"), "number"),
        Saying(_measured_no(), _misfits, F("check_id")),
    ]


def _waits(job: Job, whys: list[str]) -> list[Notice]:
    text = _("A change waits for the customer: %(what)s")
    address = reverse("shop:changes", args=[job.number])
    return [Notice(text % {"what": why.rstrip(" .")}, address, "info") for why in whys]


def _refusals(job: Job, whys: list[str]) -> list[Notice]:
    text = _("The customer said no to a change: %(what)s")
    address = reverse("shop:changes", args=[job.number])
    return [Notice(text % {"what": why.rstrip(" .")}, address) for why in whys]


def _misfits(job: Job, checks: list[str]) -> list[Notice]:
    text = _("Does not fit as measured: %(check)s")
    address = reverse("shop:bench", args=[job.number]) + "#measure"
    return [Notice(text % {"check": told_codes.name_of_check(check)}, address) for check in checks]
