"""A customer's photos: taken in raw, cleaned after the commit, rotated, removed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, BinaryIO

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import Storage
from django.db import DatabaseError, transaction
from django.db.models import Q, QuerySet, Sum

from configurator.outbox.handlers import PHOTOS
from configurator.outbox.service import handles, promise
from configurator.pictures.photos import PhotoRefused, ProcessedPhoto, process_photo, rotate
from configurator.words.said import Kept

from .models import Photo, Spec
from .sentences import SENTENCES, say
from .service import AlreadySentError

NOT_PREPARED = "photo_not_prepared"


class TooManyPhotosError(Exception):
    """The build already holds as many photos as it may."""


class NoRoomError(Exception):
    """Photos take as much room as they may: ``of_all`` tells whether of all builds or of this one."""

    def __init__(self, *, of_all: bool) -> None:
        super().__init__("no room for photos")
        self.of_all = of_all


def bounds(*, after_sending: bool) -> tuple[int, int]:
    """Return how many photos a build may hold and how many bytes; after sending as many again may follow."""
    times = 2 if after_sending else 1
    return times * settings.KERBLINE_PHOTO_MAX_COUNT, times * settings.KERBLINE_PHOTO_BUILD_BYTES


@transaction.atomic
def add_photo(*, spec_id: int, file: BinaryIO, label: str = "", after_sending: bool = False) -> Photo:
    """Take one upload in and promise to clean it; returns at once.

    ``after_sending``: on the page of the job, whose room says whether more are wanted. Raises
    ``PhotoRefused`` when it is larger than allowed, ``TooManyPhotosError``, ``NoRoomError`` and
    ``AlreadySentError``.
    """
    spec = Spec.objects.select_for_update().get(pk=spec_id)
    if spec.sent_at and not after_sending:
        raise AlreadySentError
    most = bounds(after_sending=after_sending)[0]
    if spec.photos.exclude(state=Photo.State.REFUSED).count() >= most:
        raise TooManyPhotosError
    data = file.read(settings.KERBLINE_PHOTO_MAX_BYTES + 1)
    if len(data) > settings.KERBLINE_PHOTO_MAX_BYTES:
        raise PhotoRefused("photo_too_large", mb_count=settings.KERBLINE_PHOTO_MAX_BYTES // 1_000_000)
    _make_sure_of_room(spec, len(data))
    photo = Photo(spec=spec, label=label[:100], size_bytes=len(data))
    photo.raw.save("upload.bin", ContentFile(data), save=False)
    try:
        photo.save()
    except DatabaseError:
        photo.raw.storage.delete(str(photo.raw.name))
        raise
    promise(kind="photo", key=f"photo:{photo.pk}", payload={"photo_id": photo.pk})
    return photo


def _make_sure_of_room(spec: Spec, size_bytes: int) -> None:
    """Raise NoRoomError when this build's photos, or those of all builds not sent, would take too much."""
    if _stored(spec.photos.all()) + size_bytes > bounds(after_sending=bool(spec.sent_at))[1]:
        raise NoRoomError(of_all=False)
    if spec.sent_at:
        return
    if _stored(Photo.objects.filter(spec__sent_at=None)) + size_bytes > settings.KERBLINE_PHOTO_ALL_BYTES:
        raise NoRoomError(of_all=True)


def _stored(photos: QuerySet[Photo]) -> int:
    return int(photos.aggregate(sum=Sum("size_bytes"))["sum"] or 0)


def give_up(payload: dict[str, Any], error: str, given_up: bool) -> None:
    """Say at the photo that it could not be prepared, when no further try follows."""
    if given_up:
        waiting = Photo.objects.filter(pk=payload["photo_id"], state=Photo.State.WAITING)
        waiting.update(state=Photo.State.REFUSED, refusal=say(NOT_PREPARED).kept())


def wait_again(*, photo_id: int) -> None:
    """Have a photo that could not be prepared wait for another try, if its upload is still there."""
    given_up = Q(refusal__id=NOT_PREPARED) | Q(message=SENTENCES[NOT_PREPARED])
    refused = Photo.objects.filter(given_up, pk=photo_id, state=Photo.State.REFUSED)
    refused.exclude(raw="").update(state=Photo.State.WAITING, refusal={}, message="")


@handles("photo", queue=PHOTOS, atomic=False, failed=give_up)
def clean_photo(payload: dict[str, Any]) -> None:
    """Replace the raw upload by clean copies, or say why it cannot be used; safe to run twice.

    The raw upload goes only after the row that no longer needs it is committed. A photo that was removed
    meanwhile stays removed.
    """
    photo = Photo.objects.filter(pk=payload["photo_id"], state=Photo.State.WAITING).first()
    if photo is None:
        return
    with photo.raw.open("rb") as file:
        data = file.read()
    try:
        done = process_photo(
            data,
            max_bytes=settings.KERBLINE_PHOTO_MAX_BYTES,
            max_pixels=settings.KERBLINE_PHOTO_MAX_PIXELS,
        )
    except PhotoRefused as refusal:
        _finish(photo.pk, None, refusal.said.kept())
    else:
        _finish(photo.pk, done, {})


@transaction.atomic
def _finish(photo_id: int, done: ProcessedPhoto | None, refusal: Kept) -> None:
    waiting = Photo.objects.select_for_update().filter(pk=photo_id, state=Photo.State.WAITING)
    photo = waiting.first()
    if photo is None:
        return
    raw = photo.raw.name
    photo.raw = ""
    if done:
        _store(photo, done)
    else:
        photo.state, photo.refusal, photo.size_bytes = Photo.State.REFUSED, refusal, 0
    photo.save(force_update=True)
    storage = photo.image.storage
    transaction.on_commit(lambda: _delete([raw], storage), robust=True)


def _store(photo: Photo, done: ProcessedPhoto) -> None:
    """Write the clean copies; when the transaction comes to nothing, they stay behind and nothing is lost."""
    photo.image.save("photo.jpg", ContentFile(done.jpeg), save=False)
    photo.thumbnail.save("small.jpg", ContentFile(done.thumbnail), save=False)
    photo.width_px, photo.height_px = done.width, done.height
    photo.size_bytes = len(done.jpeg) + len(done.thumbnail)
    photo.state, photo.refusal, photo.message = Photo.State.READY, {}, ""


@transaction.atomic
def rotate_photo(*, photo_id: int, quarter_turns: int = 1) -> None:
    """Turn a ready photo clockwise by quarter turns."""
    photo = Photo.objects.select_for_update().get(pk=photo_id)
    if photo.state != Photo.State.READY:
        return
    with photo.image.open("rb") as file:
        data = file.read()
    old = [photo.image.name, photo.thumbnail.name]
    _store(photo, rotate(data, quarter_turns))
    photo.save()
    storage = photo.image.storage
    transaction.on_commit(lambda: _delete(old, storage), robust=True)


@transaction.atomic
def remove_photo(*, photo_id: int) -> None:
    """Remove a photo and its files; what was sent with the build stays with it (``AlreadySentError``)."""
    photo = Photo.objects.select_for_update(of=("self",)).select_related("spec").get(pk=photo_id)
    if not photo.may_go:
        raise AlreadySentError
    files = [field for field in (photo.raw, photo.image, photo.thumbnail) if field]
    names = [field.name for field in files]
    photo.delete()
    transaction.on_commit(lambda: _delete(names, photo.image.storage), robust=True)


def _delete(names: Iterable[str | None], storage: Storage) -> None:
    for name in names:
        if name:
            storage.delete(name)
