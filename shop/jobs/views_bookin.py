"""The page in the yard: the vehicle is booked in by thumb, key or number."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_POST, require_safe

from configurator.pictures.giving import give

from . import bookin
from .access import job_or_404, staff
from .errors import JobError, beside
from .forms_bookin import COLUMNS, ROWS, MarkForm, PhotoForm, ReadingsForm
from .models import Job
from .models_bookin import BookIn, BookInPhoto, ConditionMark
from .refusing import out_of_place
from .roles import roles_of
from .states import MANAGER, REVIEWER, TECHNICIAN
from .vehicle import view_of
from .views import job_context

View = ConditionMark.View


@staff()
@require_safe
def book_in(request: HttpRequest, number: str) -> HttpResponse:
    """Show what is on record of the vehicle's coming in."""
    return _show(request, job_or_404(request, number), {})


def _show(request: HttpRequest, job: Job, bound: dict[str, Any], status: int = 200) -> HttpResponse:
    found = BookIn.objects.filter(job=job).first() or BookIn(job=job)
    kept = found.pk is not None and BookIn.objects.filter(pk=found.pk).exists()
    asked = request.POST.get("view") or request.GET.get("view") or View.LEFT
    view = asked if asked in View.values else View.LEFT
    marks = list(found.marks.all()) if kept else []
    names = ("mileage_km", "mileage_why", "keys", "locking_key", "photos_why", "note")
    context = job_context(request, job) | {
        "here": _("Book-in"),
        "book_in": found,
        "photos": list(found.photos.all()) if kept else [],
        "photos_wanted": bookin.PHOTOS_WANTED,
        "marks": marks,
        "view": view,
        "view_name": View(view).label,
        "views": [(each, View(each).label, sum(m.view == each for m in marks)) for each in View.values],
        "squares": _squares(marks, view),
        "drawing": view_of(job.revision, view),
        "mirrored": view == View.RIGHT,
        "photo": PhotoForm(initial={"side": _next_side(found, kept)}),
        "mark": MarkForm(initial={"view": view}),
        "readings": ReadingsForm(
            initial={name: getattr(found, name) for name in names} | {"was": found.mark}
        ),
        "works": job.state in bookin.WHILE and bool(roles_of(request.user) & bookin.AT_BOOK_IN),
    }
    return render(request, "shop/jobs/bookin.html", context | bound, status=status)


def _next_side(found: BookIn, kept: bool) -> str:
    """Propose the side that has no photo yet."""
    taken = set(found.photos.values_list("side", flat=True)) if kept else set()
    return next((side for side in BookInPhoto.Side.values if side not in taken), BookInPhoto.Side.DETAIL)


def _squares(marks: list[ConditionMark], view: str) -> list[tuple[str, list[ConditionMark]]]:
    by_square: dict[str, list[ConditionMark]] = {}
    for mark in marks:
        if mark.view == view:
            by_square.setdefault(mark.square, []).append(mark)
    return [(f"{c}{r}", by_square.get(f"{c}{r}", [])) for r in ROWS for c in COLUMNS]


def _not_done(request: HttpRequest, job: Job, name: str, form: Any, error: JobError) -> HttpResponse:
    """Show the page with what is wrong beside what was typed, or above where the forms are gone by now."""
    beside(form, error)
    job.refresh_from_db()
    typed = (str(form.data.get(field, "")) for field in ("mileage_km", "keys", "note"))
    gone = {} if job.state in bookin.WHILE else out_of_place(error, *typed)
    return _show(request, job, {name: form, **gone}, error.status)


def _back(number: str, place: str, view: str = "") -> HttpResponse:
    asked = f"?view={view}" if view else ""
    return redirect(reverse("shop:book_in", args=[number]) + f"{asked}#{place}")


@staff(REVIEWER, TECHNICIAN, MANAGER)
@require_POST
def add_photo(request: HttpRequest, number: str) -> HttpResponse:
    """Take a photo."""
    job = job_or_404(request, number)
    form = PhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        return _show(request, job, {"photo": form}, 422)
    try:
        bookin.add_photo(
            job_id=job.pk,
            side=form.cleaned_data["side"],
            data=form.photo_bytes(),
            by=request.user,  # type: ignore[arg-type]
        )
    except JobError as error:
        return _not_done(request, job, "photo", form, error)
    return _back(number, "photos")


@staff(REVIEWER, TECHNICIAN, MANAGER)
@require_POST
def add_mark(request: HttpRequest, number: str) -> HttpResponse:
    """Note a spot."""
    job = job_or_404(request, number)
    form = MarkForm(request.POST)
    if not form.is_valid():
        return _show(request, job, {"mark": form}, 422)
    data = form.cleaned_data
    try:
        bookin.add_mark(
            job_id=job.pk,
            view=data["view"],
            square=form.where(),
            kind=data["kind"],
            note=data["note"],
            by=request.user,  # type: ignore[arg-type]
        )
    except JobError as error:
        return _not_done(request, job, "mark", form, error)
    return _back(number, "condition", data["view"])


@staff(REVIEWER, TECHNICIAN, MANAGER)
@require_POST
def remove(request: HttpRequest, number: str, what: str, which: int) -> HttpResponse:
    """Take a photo or a mark out again."""
    job = job_or_404(request, number)
    try:
        if what == "photo":
            bookin.remove_photo(job_id=job.pk, photo_id=which, by=request.user)  # type: ignore[arg-type]
        else:
            bookin.remove_mark(job_id=job.pk, number=which, by=request.user)  # type: ignore[arg-type]
    except JobError as error:
        messages.error(request, str(error))
    return _back(number, "photos" if what == "photo" else "condition", str(request.POST.get("view", "")))


@staff(REVIEWER, TECHNICIAN, MANAGER)
@require_POST
def complete(request: HttpRequest, number: str) -> HttpResponse:
    """Complete the book-in."""
    job = job_or_404(request, number)
    form = ReadingsForm(request.POST)
    if not form.is_valid():
        return _show(request, job, {"readings": form}, 422)
    try:
        did = bookin.complete(
            job_id=job.pk,
            readings=form.readings(),
            by=request.user,  # type: ignore[arg-type]
            sure=form.cleaned_data["sure"],
            seen=form.cleaned_data["was"] if "was" in form.data else None,
        )
    except JobError as error:
        return _not_done(request, job, "readings", form, error)
    messages.success(request, _("The vehicle is booked in.") if did else _("Nothing was changed."))
    return _back(number, "readings")


@staff()
@require_safe
@cache_control(private=True, max_age=3600)
def photo(request: HttpRequest, number: str, which: int) -> FileResponse:
    """Return a photo of the vehicle as it came in."""
    job = job_or_404(request, number)
    row = get_object_or_404(BookInPhoto, pk=which, book_in__job=job)
    return give(row.file)
