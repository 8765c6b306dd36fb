"""What was measured for a job and would mend the catalogue: offered, and taken over at a word.

A check measured at the vehicle leaves more or less room than was reckoned. The difference is that of the
length the catalogue has: more room at the strut means that the strut lies further in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from configurator.catalogue.models import Axle
from configurator.catalogue.models_changes import Release, RowChange
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job, Measurement

from . import service
from .measured import BY_FIELD
from .models import AxleReading
from .service import Reading, ReadingRefusedError

# Which length a check's room speaks of, and whether it grows (+1) or falls (-1) with more room.
LENGTHS = {"inboard_clearance": ("strut_face_mm", -1), "outboard_position": ("arch_lip_mm", 1),
           "lock_sweep": ("lock_free_mm", 1)}  # fmt: skip


@dataclass(frozen=True)
class Offer:
    """One length that a job's measurement would mend."""

    measurement: Measurement
    job: Job
    generation: str
    field: str
    now: float
    then: float

    @property
    def name(self) -> str:
        """What the length is called on the card."""
        return str(BY_FIELD[self.field].name)


def offers(generation: str) -> list[Offer]:
    """Return what measurements of jobs on this generation would mend, newest first, each length once."""
    found: dict[tuple[str, str], Offer] = {}
    rows = Measurement.objects.filter(
        check_id__in=LENGTHS, job__revision__selection__generation=generation
    ).select_related("job", "revision", "by")
    for row in rows.order_by("pk"):
        for offer in _offer(row, generation):
            found[row.axle, offer.field] = offer
    return list(found.values())


def _offer(row: Measurement, generation: str) -> Iterator[Offer]:
    field, sign = LENGTHS[row.check_id]
    axle = Axle.objects.filter(generation__code=generation, position=row.axle).first()
    now = getattr(axle, field, None)
    taken = AxleReading.objects.filter(generation=generation, position=row.axle, field=field, at__gt=row.at)
    if now is None or taken.exists():
        return
    evaluation = evaluation_of(row.revision)
    margins = [
        one.margin
        for fit in evaluation.fits.values()
        for one in fit.checks
        if (one.axle, one.id) == (row.axle, row.check_id) and one.margin is not None
    ]
    if not margins or _changed_since(generation, row.axle, field, evaluation.catalogue_version):
        return
    then = round(now + sign * (row.margin - margins[0]), 1)
    if then != now:
        yield Offer(row, row.job, generation, field, now, then)


def _changed_since(generation: str, position: str, field: str, version: int) -> bool:
    """Whether the catalogue's length is another by now than the one that the job was reckoned with."""
    changes = RowChange.objects.filter(
        kind="axles",
        key=service.axle_key(generation, position),
        release__version__number__gt=version,
    )
    return any(field in (change.after or {}) for change in changes)


@transaction.atomic
def take_over(*, measurement_id: int, generation: str, by: User) -> Release | None:
    """Put the length that a job's measurement gives into the catalogue.

    Raises ReadingRefusedError when the measurement no longer offers anything.
    """
    offer = next((o for o in offers(generation) if o.measurement.pk == measurement_id), None)
    if offer is None:
        raise ReadingRefusedError(_("This measurement offers nothing new any more."))
    row = offer.measurement
    reading = Reading(offer.field, [offer.then], offer.then, row.uncertainty, AxleReading.How.JOB)
    return service.measure(
        generation=generation,
        position=row.axle,
        readings=[reading],
        by=by,
        note=row.note,
        job=offer.job,
    )
