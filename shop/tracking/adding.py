"""Photos that a customer adds to a sent job: bounded, each refusal named, told to the workshop."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils.translation import gettext as _

from configurator.builds.photos import remove_photo
from configurator.builds.service import AlreadySentError
from configurator.models import Photo
from configurator.pages.taking import taken
from shop.jobs.errors import WrongStateError
from shop.jobs.models import Job
from shop.jobs.moving import locked, record
from shop.jobs.roles import THE_CUSTOMER
from shop.jobs.states import State
from shop.messages.news import when_customer_changed

ADDED, REMOVED = "customer.photos_added", "customer.photo_removed"
NO_MORE = frozenset({State.DECLINED, State.CANCELLED})


def may_add(job: Job) -> bool:
    """Whether photos can still help: not of a job that was declined or called off."""
    return job.state not in NO_MORE


@transaction.atomic
def add_photos(*, job_id: int, files: Sequence[UploadedFile], press: str) -> tuple[int, list[str]]:
    """Take photos in and return how many, with a sentence for each that was refused.

    ``press`` tells one form from another: sent twice it is taken in once. Raises ``WrongStateError``.
    """
    job = locked(job_id)
    if not may_add(job):
        raise WrongStateError(_("The job is over: photos cannot be added any more."))
    if job.history.filter(action=ADDED, data__press=press).exists():
        return 0, []
    refused, count = [], 0
    for file in files:
        photo, why = taken(job.spec, file, after_sending=True)
        if photo:
            count += 1
        else:
            refused.append(why)
    if count:
        entry = record(job, THE_CUSTOMER, ADDED, press=press, count=count)
        when_customer_changed(entry)
    return count, list(dict.fromkeys(refused))


@transaction.atomic
def take_away(*, job_id: int, photo_token: str) -> bool:
    """Remove a photo that was added after sending; what was sent with the build stays with it."""
    job = locked(job_id)
    photo = Photo.objects.select_related("spec").filter(spec_id=job.spec_id, token=photo_token).first()
    if photo is None or not photo.may_go:
        return False
    was_refused = photo.state == Photo.State.REFUSED
    with suppress(AlreadySentError, Photo.DoesNotExist):
        remove_photo(photo_id=photo.pk)
        if not was_refused:
            record(job, THE_CUSTOMER, REMOVED)
        return True
    return False
