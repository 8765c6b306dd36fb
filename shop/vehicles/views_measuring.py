"""Measuring: the card to print, the page at the car, a value in doubt, and what jobs have measured."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.catalogue.going_live import NotLiveError
from configurator.catalogue.models import Generation
from configurator.pictures.giving import give
from shop.jobs.access import download, staff
from shop.jobs.states import MANAGER, REVIEWER, TECHNICIAN

from . import from_jobs, service
from .card import card as card_of
from .card_drawing import drawing
from .forms import DisputeForm, MeasureForm
from .forms_vehicle import refuse
from .measured import of_axle
from .models import AxleReading
from .service import ReadingRefusedError
from .views import show, values_of
from .words import POSITIONS


def _generation(code: str, position: str = "front") -> Generation:
    if position not in POSITIONS:
        raise Http404("There is no such axle.")
    return get_object_or_404(Generation.objects.select_related("maker"), code=code)


@staff()
@require_safe
def card(request: HttpRequest, code: str, position: str) -> HttpResponse:
    """Give the measuring card of an axle as PDF."""
    row = _generation(code, position)
    return download(card_of(row, position), f"{code}-{position}.pdf", "application/pdf", inline=True)


@staff(REVIEWER, TECHNICIAN, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def measure(request: HttpRequest, code: str, position: str) -> HttpResponse:
    """Type in what was read at the car."""
    row = _generation(code, position)
    is_post = request.method == "POST"
    form = MeasureForm(*((request.POST, request.FILES) if is_post else ()), position=position)
    if is_post and form.is_valid():
        user: Any = request.user
        try:
            release = service.measure(
                generation=code,
                position=position,
                readings=form.cleaned_data["readings"],
                by=user,
                note=form.cleaned_data["note"],
                photo=form.cleaned_data["photo"],
            )
        except NotLiveError as error:
            refuse(form, error, lambda kind, key, field: _field_of(form, field))
        else:
            said = _("Kept, and live from now on.") if release else _("Kept. The catalogue said so already.")
            messages.success(request, said)
            return redirect("shop:vehicle", code)
    known = {one.measured.field: one for one in values_of(row, position)}
    lines = form.lines(
        {field: one.value for field, one in known.items()},
        {field: one.reading for field, one in known.items() if one.reading},
    )
    context = {
        "generation": row,
        "position": position,
        "axle": POSITIONS[position],
        "form": form,
        "lines": list(lines),
        # Our own drawing, of letters and numbers alone.
        "drawing": mark_safe(drawing(of_axle(position))),  # noqa: S308
    }
    return render(request, "shop/vehicles/measure.html", context, status=422 if form.errors else 200)


def _field_of(form: MeasureForm, field: str) -> str | None:
    return f"r-{field}" if f"r-{field}" in form.fields else None


@staff(REVIEWER, TECHNICIAN, MANAGER)
@require_POST
def dispute(request: HttpRequest, reading_id: int) -> HttpResponse:
    """Say that a value is in doubt, or that it stands after all."""
    reading = get_object_or_404(AxleReading, pk=reading_id)
    form = DisputeForm(request.POST)
    user: Any = request.user
    if request.POST.get("stands"):
        service.stands(reading_id=reading.pk)
        messages.success(request, _("The value stands."))
        return redirect("shop:vehicle", reading.generation)
    if not form.is_valid():
        return show(request, reading.generation, (reading.pk, form), 422)
    try:
        service.dispute(reading_id=reading.pk, why=form.cleaned_data["why"], by=user)
    except ReadingRefusedError as error:
        form.add_error("why", str(error))
        # A value measured since has another row, which shows what speaks against the older one no more.
        messages.error(request, str(error))
        return show(request, reading.generation, (_newest(reading).pk, form), 422)
    messages.success(request, _("Noted: this value asks to be measured again."))
    return redirect("shop:vehicle", reading.generation)


def _newest(reading: AxleReading) -> AxleReading:
    return service.latest(reading.generation, reading.position)[reading.field]


@staff(REVIEWER, MANAGER)
@require_POST
def take_over(request: HttpRequest, code: str, measurement_id: int) -> HttpResponse:
    """Put what a job has measured into the catalogue."""
    _generation(code)
    user: Any = request.user
    try:
        from_jobs.take_over(measurement_id=measurement_id, generation=code, by=user)
    except (ReadingRefusedError, NotLiveError) as error:
        messages.error(request, str(error))
    else:
        messages.success(request, _("Taken over, and live from now on."))
    return redirect("shop:vehicle", code)


@staff()
@require_safe
def photo(request: HttpRequest, reading_id: int) -> FileResponse:
    """Show the photo of a reading."""
    reading = get_object_or_404(AxleReading.objects.exclude(photo=""), pk=reading_id)
    return give(reading.photo)
