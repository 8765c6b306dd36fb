"""Photos, given out only to who may see them: by the job's link, or to staff. There is no public folder."""

from __future__ import annotations

from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from django.views.decorators.http import require_safe

from configurator.models import Photo
from configurator.pictures.giving import give
from shop.jobs.models import Job

from .access import by_link


@require_safe
@by_link
def own_photo(request: HttpRequest, job: Job, photo_token: str, size: str) -> HttpResponseBase:
    """Give one of the customer's own photos."""
    photo = Photo.objects.filter(spec_id=job.spec_id, token=photo_token, state=Photo.State.READY).first()
    if photo is None:
        raise Http404
    return give(photo.thumbnail if size == "small" else photo.image)


@require_safe
@by_link
def work_photo(request: HttpRequest, job: Job, operation_id: int) -> HttpResponseBase:
    """Give a photo of the work that the workshop chose to show."""
    step = job.operations.filter(pk=operation_id, photo_for_customer=True).first()
    if step is None:
        raise Http404
    return give(step.photo)
