"""What was measured goes into the catalogue, as one version; a value in doubt asks to be measured again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.catalogue import amending, drafts
from configurator.catalogue.models_changes import Release

from .measured import SPACE
from .models import AxleReading


@dataclass(frozen=True)
class Reading:
    """One value as measured: every figure read, what the catalogue is to say, how well, how."""

    field: str
    readings: Sequence[Any]
    value: Any
    tolerance_mm: float | None
    how: str


class ReadingRefusedError(ValueError):
    """A reading cannot be disputed or taken over as asked; the text says why."""


def axle_key(generation: str, position: str) -> str:
    """Return how the catalogue names an axle."""
    return f"{generation}/{position}"


def latest(generation: str, position: str) -> dict[str, AxleReading]:
    """Return the reading of each field that counts: its newest."""
    found: dict[str, AxleReading] = {}
    rows = AxleReading.objects.filter(generation=generation, position=position).select_related("by", "job")
    for row in rows.order_by("pk"):
        found[row.field] = row
    return found


@transaction.atomic
def measure(
    *,
    generation: str,
    position: str,
    readings: Sequence[Reading],
    by: User,
    note: str = "",
    photo: bytes = b"",
    job: Any = None,
) -> Release | None:
    """Keep what was measured and put it live as one version; None where the catalogue says so already.

    Raises `going_live.NotLiveError` naming the fields, and then nothing is kept.
    """
    axle = dict(drafts.live("axles", axle_key(generation, position)) or {})
    axle |= {one.field: one.value for one in readings}
    axle["tolerance_mm"] = tolerance_of(axle, latest(generation, position), readings)
    key = axle_key(generation, position)
    release = amending.amend([("axles", key, axle)], by=by, title=key)
    number = release.version.number if release else None
    file = ""
    for one in readings:
        row = AxleReading(
            generation=generation, position=position, field=one.field, readings=list(one.readings),
            value=one.value, tolerance_mm=one.tolerance_mm, how=one.how, note=note[:200], by=by, job=job,
            version=number,
        )  # fmt: skip
        if file:
            row.photo.name = file
        elif photo:
            row.photo.save("photo.jpg", ContentFile(photo), save=False)
            file = str(row.photo.name)
        row.save()
    return release


def tolerance_of(axle: Mapping[str, Any], before: Mapping[str, AxleReading], now: Sequence[Reading]) -> float:
    """Return the axle's tolerance: the worst of what its spaces were measured with.

    A space that nobody has measured counts with what the axle says so far.
    """
    fresh = {one.field: one.tolerance_mm for one in now}
    old = float(axle.get("tolerance_mm") or 2.0)
    found = []
    for field in SPACE:
        if field in fresh:
            found.append(fresh[field])
        elif field in before:
            found.append(before[field].tolerance_mm)
        elif axle.get(field) is not None:
            found.append(old)
    return max((value for value in found if value is not None), default=old)


@transaction.atomic
def dispute(*, reading_id: int, why: str, by: User) -> AxleReading:
    """Ask for a value to be measured again; the catalogue keeps it until then.

    Raises ReadingRefusedError without a reason, or for a reading that a newer one has replaced.
    """
    reading = AxleReading.objects.select_for_update().get(pk=reading_id)
    if not why.strip():
        raise ReadingRefusedError(_("Say what speaks against it."))
    if latest(reading.generation, reading.position)[reading.field].pk != reading.pk:
        raise ReadingRefusedError(_("This was measured again since. Look at the newer value."))
    if reading.disputed_at is None:
        reading.disputed_at, reading.disputed_by = timezone.now(), by.get_username()
        reading.disputed_why = why.strip()[:200]
        reading.save()
    return reading


@transaction.atomic
def stands(*, reading_id: int) -> None:
    """Take a doubt back: the value stands after all."""
    AxleReading.objects.filter(pk=reading_id).update(disputed_at=None, disputed_by="", disputed_why="")


def disputed() -> list[AxleReading]:
    """Return the values that ask to be measured again, those that a newer reading has answered left out."""
    rows = AxleReading.objects.exclude(disputed_at=None).select_related("by")
    return [row for row in rows if latest(row.generation, row.position)[row.field].pk == row.pk]
