"""How the vehicle came in, as the handover paper tells it: mileage, keys, photos, and what was marked."""

from __future__ import annotations

from django.utils.translation import gettext as _

from shop.jobs.models import Job
from shop.jobs.models_bookin import BookIn

from . import words


def _record(job: Job) -> BookIn | None:
    return BookIn.objects.filter(job=job).exclude(done_at=None).first()


def came_in(job: Job) -> list[list[str]]:
    """Return the boxes: when, mileage, keys, locking key, photos; nothing when it was not booked in."""
    found = _record(job)
    if found is None:
        return []
    mileage = f"{found.mileage_km} km" if found.mileage_km is not None else found.mileage_why
    photos = found.photos.count()
    return [
        [_("Came in"), words.day(found.done_at)],
        [_("Mileage"), mileage],
        [_("Keys"), str(found.keys if found.keys is not None else "–")],
        [_("Locking key"), found.get_locking_key_display()],
        [_("Photos"), f"{photos}, {found.photos_why}" if found.photos_why and photos < 4 else str(photos)],
        *([[_("Note"), found.note]] if found.note else []),
    ]


def marks(job: Job) -> list[list[str]]:
    """Return what was marked on the picture: number, where, what."""
    found = _record(job)
    if found is None:
        return []
    return [
        [
            str(mark.number),
            f"{mark.get_view_display()}, {mark.square}",
            ", ".join(filter(None, (mark.get_kind_display(), mark.note))),
        ]
        for mark in found.marks.all()
    ]
