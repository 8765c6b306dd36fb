"""Adding photos on the page of a job, and taking them away again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from configurator.pages.bounded import photos_sentence, too_many
from shop.jobs.errors import JobError
from shop.jobs.models import Job

from . import adding
from .access import by_link
from .views import page_of

PRESS_MAX = 30


@require_POST
@by_link
def photos(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take photos in; what was refused is named, the rest is kept."""
    files = request.FILES.getlist("photos")
    if not files:
        return page_of(request, job, status=400, photo_errors=[_("Choose at least one photo first.")])
    kept, refused, status = [], [], 400
    for file in files:
        if wait := too_many(request, "photos"):
            refused, status = [photos_sentence(wait)], 429
            break
        kept.append(file)
    try:
        press = request.POST.get("press", "")[:PRESS_MAX]
        count, why = adding.add_photos(job_id=job.pk, files=kept, press=press)
    except JobError as error:
        messages.error(request, str(error))
        return redirect("tracking:job", job.token)
    if count:
        said = ngettext("%(count)d photo is with us.", "%(count)d photos are with us.", count)
        messages.success(request, said % {"count": count})
    if refused or why:
        return page_of(request, job, status=status, photo_errors=[*why, *refused])
    return redirect(reverse("tracking:job", args=[job.token]) + "#own-photos")


@require_POST
@by_link
def photo_away(request: HttpRequest, job: Job, photo_token: str) -> HttpResponseBase:
    """Take away a photo that was added after sending."""
    if adding.take_away(job_id=job.pk, photo_token=photo_token):
        messages.success(request, _("The photo is removed."))
    else:
        messages.error(request, _("What was sent with the build stays with it. Write to us about it."))
    return redirect(reverse("tracking:job", args=[job.token]) + "#own-photos")
