"""Finished builds prepared by staff: photos chosen, words written, published and taken down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.conf import settings
from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models.fields.files import FieldFile
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.models import Photo
from configurator.pages.told import told
from configurator.pictures.covering import SQUARE, cover
from configurator.pictures.photos import PhotoRefused, process_photo
from shop.jobs.errors import UnmetError
from shop.jobs.models import Job
from shop.jobs.models_bookin import BookInPhoto
from shop.jobs.press import new_key
from shop.jobs.roles import By, actor
from shop.jobs.service import locked, record

from . import consent
from .languages import own_language
from .models import FinishedBuild, ShownPhoto

MOST_PHOTOS = 12
SENT = "sent"
Side = ShownPhoto.Side


@dataclass(frozen=True)
class Source:
    """A photo of the job that may be chosen: its key, what it is, and when in the work it was taken."""

    key: str
    name: str
    side: str
    file: FieldFile


def sources(job: Job) -> list[Source]:
    """Return every photo of a job: the customer's, those of the book-in, and those of the work."""
    own = Photo.objects.filter(spec_id=job.spec_id, state=Photo.State.READY)
    found = [Source(f"own-{one.pk}", _("From the customer"), Side.BEFORE, one.image) for one in own]
    for photo in BookInPhoto.objects.filter(book_in__job=job):
        name = _("Book-in, %(side)s") % {"side": photo.get_side_display()}
        found.append(Source(f"book-in-{photo.pk}", name, Side.BEFORE, photo.file))
    steps = job.operations.exclude(photo="").order_by("pk")
    found += [Source(f"step-{step.pk}", told(step.name), Side.AFTER, step.photo) for step in steps]
    return found


@transaction.atomic
def prepared(*, job_id: int) -> FinishedBuild:
    """Return a job's finished build, begun if there is none; raises UnmetError without the consent."""
    job = locked(job_id)
    _make_sure(job)
    return FinishedBuild.objects.get_or_create(job=job)[0]


def _make_sure(job: Job) -> None:
    if not consent.stands(job):
        raise UnmetError(_("The customer has not agreed that the vehicle is shown."))


@transaction.atomic
def choose(*, job_id: int, key: str, side: str) -> ShownPhoto:
    """Make a copy of one of the job's photos to be shown; chosen again, it only changes its side.

    Raises UnmetError without the consent, for an unknown photo, and when there are enough.
    """
    build = prepared(job_id=job_id)
    if side not in Side.values:
        raise UnmetError(_("Say whether it is from before or after."))
    known = build.photos.filter(source=key).first()
    if known is not None:
        known.side = side
        known.save(update_fields=["side"])
        return known
    source = next((one for one in sources(build.job) if one.key == key), None)
    if source is None:
        raise UnmetError(_("That photo is not there any more."))
    with source.file.open("rb") as file:
        return _added(build, file.read(), side, key)


@transaction.atomic
def add_sent(*, job_id: int, data: bytes, side: str) -> ShownPhoto:
    """Add a photo that staff send, made safe as every photo is. Raises UnmetError as ``choose`` does."""
    build = prepared(job_id=job_id)
    if side not in Side.values:
        raise UnmetError(_("Say whether it is from before or after."), "side")
    return _added(build, data, side, f"{SENT}-{new_key()}")


def _added(build: FinishedBuild, data: bytes, side: str, source: str) -> ShownPhoto:
    if build.photos.count() >= MOST_PHOTOS:
        raise UnmetError(
            _("These are %(count)s photos already: take one out first.") % {"count": MOST_PHOTOS}
        )
    photo = ShownPhoto(build=build, side=side, source=source)
    _store(photo, data, ())
    return photo


def _store(photo: ShownPhoto, data: bytes, squares: Iterable[str]) -> None:
    """Write original, image and thumbnail; the files of before go once the row is committed."""
    before = [photo.original.name, photo.image.name, photo.thumbnail.name]
    try:
        clean = process_photo(
            data,
            max_bytes=settings.KERBLINE_PHOTO_MAX_BYTES,
            max_pixels=settings.KERBLINE_PHOTO_MAX_PIXELS,
        )
        shown = process_photo(cover(clean.jpeg, squares), max_bytes=2**31, max_pixels=2**31)
    except PhotoRefused as refusal:
        raise UnmetError(told(refusal.said), "photo") from refusal
    photo.original.save("x.jpg", ContentFile(clean.jpeg), save=False)
    photo.image.save("x.jpg", ContentFile(shown.jpeg), save=False)
    photo.thumbnail.save("x.jpg", ContentFile(shown.thumbnail), save=False)
    photo.width_px, photo.height_px = shown.width, shown.height
    photo.covered = sorted(set(squares))
    photo.save()
    consent.remove_files(photo.image.storage, list(before))


@transaction.atomic
def cover_squares(*, job_id: int, photo_id: int, squares: Iterable[str]) -> None:
    """Make these squares of a photo unreadable, and no others; its address changes, so that no copy stays.

    Raises UnmetError when the photo is not there any more.
    """
    photo = _photo(job_id, photo_id)
    with photo.original.open("rb") as file:
        data = file.read()
    photo.address = new_key()[:16]
    _store(photo, data, [one for one in squares if SQUARE.fullmatch(one)])


@transaction.atomic
def take_out(*, job_id: int, photo_id: int) -> None:
    """Take a photo out, its files too. Raises UnmetError when it is not there any more."""
    photo = _photo(job_id, photo_id)
    consent.remove_files(photo.image.storage, [photo.original.name, photo.image.name, photo.thumbnail.name])
    photo.delete()
    build = FinishedBuild.objects.get(pk=photo.build_id)
    if build.published_at and not build.photos.exists():
        _down(build)


def _photo(job_id: int, photo_id: int) -> ShownPhoto:
    job = locked(job_id)
    found = ShownPhoto.objects.filter(build__job=job, pk=photo_id).first()
    if found is None:
        raise UnmetError(_("That photo is not there any more."))
    return found


@transaction.atomic
def write(*, job_id: int, texts: Mapping[str, Mapping[str, str]]) -> None:
    """Keep title and text by language. Raises UnmetError without the consent."""
    build = prepared(job_id=job_id)
    build.texts = {language: dict(said) for language, said in texts.items()}
    build.save(update_fields=["texts", "changed_at"])


@transaction.atomic
def publish(*, job_id: int, by: By) -> bool:
    """Show it to visitors; return whether it was not yet. Raises UnmetError with what is still missing."""
    build = prepared(job_id=job_id)
    for why in missing(build):
        raise UnmetError(why)
    if build.published_at:
        return False
    build.published_at = timezone.now()
    build.save(update_fields=["published_at", "changed_at"])
    record(build.job, actor(by), "showing.published")
    return True


def missing(build: FinishedBuild) -> list[str]:
    """Return what is still missing before visitors can be shown it."""
    found = []
    if not build.texts.get(own_language(), {}).get("title"):
        found.append(_("It has no title yet."))
    if not build.photos.filter(side=Side.AFTER).exists():
        found.append(_("It has no photo from after the work yet."))
    return found


@transaction.atomic
def take_down(*, job_id: int, by: By) -> bool:
    """Show it to visitors no longer, and keep words and photos; return whether it was shown."""
    job = locked(job_id)
    build = FinishedBuild.objects.filter(job=job).exclude(published_at=None).first()
    if build is None:
        return False
    _down(build)
    record(job, actor(by), "showing.taken_down")
    return True


def _down(build: FinishedBuild) -> None:
    build.published_at = None
    build.save(update_fields=["published_at", "changed_at"])


@transaction.atomic
def throw_away(*, job_id: int, by: By) -> None:
    """Delete what was prepared, photos and files included; the consent stays on record."""
    job = locked(job_id)
    if FinishedBuild.objects.filter(job=job).exists():
        consent.take_away(job)
        record(job, actor(by), "showing.thrown_away")
