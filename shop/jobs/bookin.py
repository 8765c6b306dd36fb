"""Booking a vehicle in: photos, mileage, condition, keys; complete before the first step is ticked."""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from .errors import StaleError, UnmetError, WrongStateError
from .finding import squash
from .models import Job, JobWords
from .models_bookin import BookIn, BookInPhoto, ConditionMark
from .moving import check_role, locked, record
from .photos import cleaned
from .plausible import doubtful_mileage
from .roles import Actor, By, actor
from .states import MANAGER, REVIEWER, TECHNICIAN, State
from .substrings import has

AT_BOOK_IN = frozenset({REVIEWER, TECHNICIAN, MANAGER})
WHILE = frozenset({State.PARTS_IN, State.BOOKED, State.IN_THE_BAY})
PHOTOS_WANTED, PHOTOS_MAX, MARKS_MAX, KEYS_MAX = 4, 24, 60, 20
SQUARE = re.compile(r"[A-L][1-6]")


@dataclass(frozen=True)
class Readings:
    """What is read and handed in when a vehicle comes; ``mileage_km`` None where it cannot be read."""

    mileage_km: int | None
    keys: int
    locking_key: str
    mileage_why: str = ""
    photos_why: str = ""
    note: str = ""


def add_photo(*, job_id: int, side: str, data: bytes, by: By) -> BookInPhoto:
    """Keep one photo, cleaned and upright. Raises UnmetError naming the field."""
    with transaction.atomic():
        _job, book_in, who = _open(job_id, by)
        if book_in.photos.count() >= PHOTOS_MAX:
            raise UnmetError(_("That is enough: %(n)s photos at most.") % {"n": PHOTOS_MAX}, "photos")
        clean = cleaned(data, "photos")
        photo = BookInPhoto(book_in=book_in, side=side, by=who.user)
        photo.file.save("photo.jpg", clean, save=True)
    return photo


def remove_photo(*, job_id: int, photo_id: int, by: By) -> bool:
    """Take a photo out before the book-in is complete."""
    with transaction.atomic():
        _job, book_in, _who = _open(job_id, by)
        _check_not_done(book_in)
        return bool(book_in.photos.filter(pk=photo_id).delete()[0])


def add_mark(*, job_id: int, view: str, square: str, kind: str, by: By, note: str = "") -> ConditionMark:
    """Note one spot; the same spot and kind again returns the first."""
    with transaction.atomic():
        job, book_in, who = _open(job_id, by)
        square = square.strip().upper()
        if not SQUARE.fullmatch(square):
            raise UnmetError(_("A square is a letter from A to L and a number from 1 to 6."), "square")
        known = book_in.marks.filter(view=view, square=square, kind=kind, note=note.strip()[:120]).first()
        if known:
            return known
        last = book_in.marks.order_by("-number").values_list("number", flat=True).first() or 0
        if last >= MARKS_MAX:
            raise UnmetError(_("That is enough: describe the rest in the note."), "square")
        mark = ConditionMark.objects.create(
            book_in=book_in, number=last + 1, view=view, square=square, kind=kind, by=who.user,
            note=note.strip()[:120],
        )  # fmt: skip
        if book_in.done_at:
            record(job, who, "book_in.marked", view=view, square=square, kind=kind)
    return mark


def remove_mark(*, job_id: int, number: int, by: By) -> bool:
    """Take a mark out before the book-in is complete."""
    with transaction.atomic():
        _job, book_in, _who = _open(job_id, by)
        _check_not_done(book_in)
        return bool(book_in.marks.filter(number=number).delete()[0])


def complete(*, job_id: int, readings: Readings, by: By, sure: bool = False, seen: str | None = None) -> bool:
    """Complete the book-in, or put its readings right later; the history keeps each.

    Four photos, or why there are fewer; the mileage, or why it cannot be read. A mileage that can hardly
    be is questioned unless whoever read it is ``sure``. ``seen`` is the mark of what the page showed as read.
    Raises UnmetError naming the field, and StaleError where somebody else has read it since.
    """
    with transaction.atomic():
        job, book_in, who = _open(job_id, by)
        _check(job, book_in, readings, sure)
        same = all(getattr(book_in, name) == value for name, value in vars(readings).items())
        if same and book_in.done_at:
            return False
        if seen not in (None, book_in.mark):
            raise StaleError(_read_since(book_in), was=book_in.mark)
        for name, value in vars(readings).items():
            setattr(book_in, name, value)
        again = book_in.done_at is not None
        book_in.by, book_in.done_at = who.user, book_in.done_at or timezone.now()
        book_in.save()
        record(
            job, who, "book_in.corrected" if again else "book_in.done", mileage_km=readings.mileage_km,
            keys=readings.keys, photos=book_in.photos.count(), marks=book_in.marks.count(),
        )  # fmt: skip
    return True


def _read_since(book_in: BookIn) -> str:
    """Say who has read what since the page was opened."""
    km = _("no mileage") if book_in.mileage_km is None else f"{book_in.mileage_km} km"
    return _(
        "It was booked in since you opened this page: %(km)s, keys: %(keys)s (%(by)s). Which is right?"
    ) % {
        "km": km,
        "keys": book_in.keys,
        "by": book_in.by.get_username() if book_in.by else "–",
    }


def _check(job: Job, book_in: BookIn, readings: Readings, sure: bool) -> None:
    if book_in.photos.count() < PHOTOS_WANTED and not readings.photos_why.strip():
        raise UnmetError(
            _("Take a photo from each side, at least four in all, or say why there are fewer."), "photos_why"
        )
    if readings.mileage_km is None and not readings.mileage_why.strip():
        raise UnmetError(_("Enter the mileage, or say why it cannot be read."), "mileage_km")
    if readings.mileage_km is not None and not sure:
        doubt = doubtful_mileage(readings.mileage_km, last_mileage(job))
        if doubt:
            raise UnmetError(doubt, "mileage_km")
    if not 0 <= readings.keys <= KEYS_MAX:
        raise UnmetError(_("How many keys were handed in?"), "keys")
    if readings.locking_key not in BookIn.LockingKey.values:
        raise UnmetError(_("Say where the key of the locking bolts is."), "locking_key")


def last_mileage(job: Job) -> int | None:
    """Return the mileage at which the same vehicle was here last, by VIN or else by registration."""
    revision = job.revision
    found = BookIn.objects.exclude(job=job).exclude(mileage_km=None).exclude(done_at=None)
    if revision.vin:
        found = found.filter(job__revision__vin=revision.vin)
    elif plate := squash(revision.registration):
        found = found.filter(job__in=JobWords.objects.filter(has(JobWords, "text", [[plate]])).values("pk"))
    else:
        return None
    return found.order_by("-done_at").values_list("mileage_km", flat=True).first()


def is_booked_in(job: Job) -> bool:
    """Whether the vehicle's coming in is on record."""
    return BookIn.objects.filter(job=job).exclude(done_at=None).exists()


def _open(job_id: int, by: By) -> tuple[Job, BookIn, Actor]:
    who = actor(by)
    job = locked(job_id)
    check_role(who, AT_BOOK_IN, _("Booking a vehicle in"))
    if job.state not in WHILE:
        raise WrongStateError(
            _("%(number)s is “%(state)s”: a vehicle is booked in when it comes and until it is ready.")
            % {"number": job.number, "state": State(job.state).label}
        )
    book_in, _made = BookIn.objects.get_or_create(job=job)
    return job, book_in, who


def _check_not_done(book_in: BookIn) -> None:
    if book_in.done_at:
        raise WrongStateError(_("The book-in is complete: what it shows stays. Add to it instead."))
