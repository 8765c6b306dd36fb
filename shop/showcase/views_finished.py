"""Staff pages of finished builds: the consent, the photos, the words, shown and taken down."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.pictures.covering import COLUMNS, ROWS, SQUARES
from configurator.pictures.giving import give
from shop.jobs.access import job_or_404, staff
from shop.jobs.errors import JobError, UnmetError
from shop.jobs.models import Job
from shop.jobs.photos import sent as sent_photo
from shop.jobs.states import MANAGER, REVIEWER

from . import consent, finishing, selectors
from .forms import ConsentForm, FinishedForm
from .models import ShownPhoto

prepares = staff(REVIEWER, MANAGER)


@prepares
@require_safe
def finished(request: HttpRequest) -> HttpResponse:
    """List the jobs handed over: what is shown, what may be, and whom one could still ask."""
    return render(request, "shop/showcase/finished.html", {"offered": selectors.handed_over()})


@prepares
@require_http_methods(["GET", "HEAD", "POST"])
def prepare(request: HttpRequest, number: str) -> HttpResponse:
    """Show what a job's finished build is made of; take its title and text."""
    job = job_or_404(request, number)
    form = FinishedForm(request.POST or None, initial=_initial(job))
    if request.method == "POST" and form.is_valid():
        try:
            finishing.write(job_id=job.pk, texts=form.said())
        except JobError as error:
            messages.error(request, str(error))
        else:
            messages.success(request, _("Title and text are kept."))
            return redirect("shop:finished_one", number)
    status = 422 if form.is_bound else 200
    return _page(request, job, form, ConsentForm(), status)


def _initial(job: Job) -> dict[str, str]:
    build = selectors.of_job(job)
    return FinishedForm.as_initial(build.texts) if build else {}


def _page(
    request: HttpRequest, job: Job, form: FinishedForm, consent_form: ConsentForm, status: int = 200
) -> HttpResponse:
    build = selectors.of_job(job)
    chosen = {photo.source: photo for photo in build.photos.all()} if build else {}
    context = {
        "job": job,
        "revision": job.revision,
        "form": form,
        "consent_form": consent_form,
        "consent": consent.latest(job),
        "stands": consent.stands(job),
        "may_ask": consent.may_ask(job),
        "question": consent.question(),
        "build": build,
        "shown": selectors.shown(build) if build else None,
        "missing": finishing.missing(build) if build else [],
        "sources": [one for one in finishing.sources(job) if one.key not in chosen],
        "photos": list(chosen.values()),
        "sides": ShownPhoto.Side.choices,
    }
    return render(request, "shop/showcase/finished_one.html", context, status=status)


@prepares
@require_POST
def record_consent(request: HttpRequest, number: str) -> HttpResponse:
    """Record what the customer said in person, by telephone or in writing."""
    job = job_or_404(request, number)
    form = ConsentForm(request.POST)
    if not form.is_valid():
        return _page(request, job, FinishedForm(initial=_initial(job)), form, 422)
    said = form.cleaned_data
    try:
        news = consent.answer_by_staff(
            job_id=job.pk, answer=said["answer"], how=said["how"], note=said["note"], by=_user(request)
        )
    except UnmetError as error:
        form.add_error(error.field if error.field in form.fields else None, str(error))
        return _page(request, job, FinishedForm(initial=_initial(job)), form, 422)
    except JobError as error:
        form.add_error(None, str(error))
        return _page(request, job, FinishedForm(initial=_initial(job)), form, error.status)
    else:
        messages.success(request, _("It is on record.") if news else _("That was on record already."))
    return redirect("shop:finished_one", number)


def _user(request: HttpRequest) -> Any:
    return request.user


@prepares
@require_POST
def photo_choose(request: HttpRequest, number: str) -> HttpResponse:
    """Choose one of the job's photos, or add one that is sent."""
    job = job_or_404(request, number)
    side = request.POST.get("side", "")
    data = sent_photo(request.FILES.get("photo"))

    def choose() -> None:
        if key := request.POST.get("key", ""):
            finishing.choose(job_id=job.pk, key=key, side=side)
        elif data:
            finishing.add_sent(job_id=job.pk, data=data, side=side)
        else:
            raise UnmetError(_("Choose a photo first."))

    return _done(request, number, choose, _("The photo is chosen. Look at it for number plates and faces."))


@prepares
@require_POST
def photo_out(request: HttpRequest, number: str, photo_id: int) -> HttpResponse:
    """Take a photo out."""
    job = job_or_404(request, number)

    def out() -> None:
        finishing.take_out(job_id=job.pk, photo_id=photo_id)

    return _done(request, number, out, _("The photo is out; its address opens nothing any more."))


@prepares
@require_http_methods(["GET", "HEAD", "POST"])
def photo_cover(request: HttpRequest, number: str, photo_id: int) -> HttpResponse:
    """Show a photo under its squares and make those that are ticked unreadable."""
    job = job_or_404(request, number)
    found = ShownPhoto.objects.filter(build__job=job, pk=photo_id).first()
    if found is None:
        raise Http404
    if request.method == "POST":
        squares = request.POST.getlist("square")

        def cover() -> None:
            finishing.cover_squares(job_id=job.pk, photo_id=photo_id, squares=squares)

        return _done(request, number, cover, _("The photo is kept as you see it here."))
    context = {"job": job, "photo": found, "squares": SQUARES, "columns": COLUMNS, "rows": ROWS}
    return render(request, "shop/showcase/cover.html", context)


@prepares
@require_safe
def photo_original(request: HttpRequest, number: str, photo_id: int) -> HttpResponseBase:
    """Give staff a photo as it was before anything was covered."""
    job = job_or_404(request, number)
    found = ShownPhoto.objects.filter(build__job=job, pk=photo_id).first()
    if found is None:
        raise Http404
    return give(found.original)


@prepares
@require_safe
def photo_source(request: HttpRequest, number: str, key: str) -> HttpResponseBase:
    """Give staff one of the job's photos, to be chosen from."""
    job = job_or_404(request, number)
    found = next((one for one in finishing.sources(job) if one.key == key), None)
    if found is None:
        raise Http404
    return give(found.file)


@prepares
@require_POST
def act(request: HttpRequest, number: str) -> HttpResponse:
    """Show it to visitors, take it down, or throw away what was prepared."""
    job = job_or_404(request, number)
    deeds: dict[str, tuple[Callable[[], Any], str]] = {
        "publish": (
            lambda: finishing.publish(job_id=job.pk, by=_user(request)),
            _("Visitors see it now."),
        ),
        "down": (
            lambda: finishing.take_down(job_id=job.pk, by=_user(request)),
            _("Visitors do not see it any more."),
        ),
        "throw-away": (
            lambda: finishing.throw_away(job_id=job.pk, by=_user(request)),
            _("What was prepared is deleted, with its photos."),
        ),
    }
    deed = deeds.get(request.POST.get("do", ""))
    return _done(request, number, *deed) if deed else redirect("shop:finished_one", number)


def _done(request: HttpRequest, number: str, deed: Callable[[], Any], said: str) -> HttpResponse:
    """Do it and say so, or say why not; then the page is shown anew."""
    try:
        deed()
    except (JobError, FileNotFoundError) as error:
        why = str(error) if isinstance(error, JobError) else _("That photo is not there any more.")
        messages.error(request, why)
    else:
        messages.success(request, said)
    return redirect("shop:finished_one", number)
