"""Photos of a vehicle asked for: made safe before anything of them is kept, bounded in number and room."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import Storage
from django.db import DatabaseError, transaction
from django.db.models import Sum

from configurator.pages.told import told
from configurator.pictures.photos import PhotoRefused, process_photo
from configurator.visitors.full import is_full
from shop.jobs.photos import sent

from .models import RequestPhoto, VehicleRequest
from .words import no_more_photos, no_room


def taken(request: VehicleRequest, files: Iterable[Any]) -> list[str]:
    """Take uploads in, one by one; return why those that were refused were, each with its file's name.

    The same photo sent again is the same photo.
    """
    return [said for file in files if (said := _take(request, file))]


def _take(request: VehicleRequest, file: Any) -> str:
    name = str(file.name or "")[:100]
    try:
        done = process_photo(
            sent(file),
            max_bytes=settings.KERBLINE_PHOTO_MAX_BYTES,
            max_pixels=settings.KERBLINE_PHOTO_MAX_PIXELS,
        )
        return _keep(request.pk, name, done)
    except PhotoRefused as refusal:
        return f"{name}: {told(refusal.said)}"
    except (OSError, DatabaseError) as error:
        if not is_full(error):
            raise
        return no_room()


@transaction.atomic
def _keep(request_id: int, name: str, done: Any) -> str:
    request = VehicleRequest.objects.select_for_update().get(pk=request_id)
    known = request.photos.all()
    if known.filter(source_sha256=done.source_sha256).exists():
        return ""
    if known.count() >= settings.KERBLINE_REQUEST_PHOTOS:
        return no_more_photos()
    size = len(done.jpeg) + len(done.thumbnail)
    # Those of all requests together take no more room than those of builds that nobody sent.
    stored = RequestPhoto.objects.aggregate(sum=Sum("size_bytes"))["sum"] or 0
    if stored + size > settings.KERBLINE_PHOTO_ALL_BYTES:
        return no_room()
    label = name.rpartition(".")[0] or name
    photo = RequestPhoto(request=request, label=label, size_bytes=size, source_sha256=done.source_sha256)
    photo.image.save("photo.jpg", ContentFile(done.jpeg), save=False)
    photo.thumbnail.save("small.jpg", ContentFile(done.thumbnail), save=False)
    photo.save()
    return ""


@transaction.atomic
def drop(request: VehicleRequest, tokens: Iterable[str]) -> int:
    """Remove photos before the request is sent; return how many."""
    gone = list(request.photos.filter(token__in=list(tokens)))
    for photo in gone:
        remove(photo)
    return len(gone)


def remove(photo: RequestPhoto) -> None:
    """Delete a photo, and its files once that is certain."""
    storage: Storage = photo.image.storage
    names = [photo.image.name, photo.thumbnail.name]
    photo.delete()
    for name in filter(None, names):
        transaction.on_commit(partial(storage.delete, name), robust=True)
