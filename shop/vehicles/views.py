"""Vehicles: the list of what is measured, drawn and in doubt; each with its values; entered and changed."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from configurator.catalogue import history, selectors, snapshot
from configurator.catalogue.going_live import NotLiveError
from configurator.catalogue.models import Axle, Generation
from configurator.pages.drawing import vehicle_picture
from shop.jobs.access import sees_customer, staff
from shop.jobs.errors import JobError
from shop.jobs.roles import roles_of
from shop.jobs.states import BUYER, MANAGER, REVIEWER
from shop.wanted import deeds
from shop.wanted.models import VehicleRequest
from shop.wanted.selectors import open_ones

from . import from_jobs, keeping, service
from .forms import DisputeForm
from .forms_vehicle import VehicleForm, from_request
from .measured import Measured, of_axle
from .models import AxleReading
from .reading import shown
from .words import POSITIONS


@dataclass(frozen=True)
class Shown:
    """One value of an axle as the page shows it."""

    measured: Measured
    value: str
    reading: AxleReading | None


@staff()
@require_safe
def vehicles(request: HttpRequest) -> HttpResponse:
    """Show every vehicle: which axles still lack what, whether it is drawn, what is in doubt."""
    catalogue = snapshot.current()
    doubts = service.disputed()
    rows = [
        {
            "generation": row,
            "picture": vehicle_picture(code, "#8a9499", catalogue),
            "missing": [POSITIONS[position] for position in selectors.unmeasured_axles(catalogue, code)],
            "doubts": [reading for reading in doubts if reading.generation == code],
        }
        for code, row in catalogue.generations.items()
    ]
    asked = open_ones().count() if sees_customer(request.user) else None
    return render(request, "shop/vehicles/list.html", {"rows": rows, "asked": asked})


@staff()
@require_safe
def vehicle(request: HttpRequest, code: str) -> HttpResponse:
    """Show one vehicle: its picture, and each value of both axles with who measured it, when and how."""
    return show(request, code)


def show(
    request: HttpRequest, code: str, doubt: tuple[int, DisputeForm] | None = None, status: int = 200
) -> HttpResponse:
    """Show the page; ``doubt`` is a refused form with the key of the reading that it is about."""
    row = get_object_or_404(Generation.objects.select_related("maker"), code=code)
    axles = [(position, name, values_of(row, position)) for position, name in POSITIONS.items()]
    context = {
        "generation": row,
        "picture": vehicle_picture(code, "#8a9499", snapshot.current()),
        "axles": axles,
        "offers": from_jobs.offers(code),
        "drawings": history.of_row(history.DRAWING, code)[:10],
        "may_look": bool(roles_of(request.user) & {BUYER, MANAGER}),
        "doubted": doubt[0] if doubt else 0,
        "doubt": doubt[1] if doubt else None,
    }
    return render(request, "shop/vehicles/vehicle.html", context, status=status)


def values_of(generation: Generation, position: str) -> list[Shown]:
    """Return what the catalogue says of an axle, each value with the reading that it came from."""
    axle = Axle.objects.filter(generation=generation, position=position).first()
    known = service.latest(generation.code, position)
    return [
        Shown(one, shown(one, getattr(axle, one.field, None)), known.get(one.field))
        for one in of_axle(position)
    ]


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """Enter a vehicle."""
    asked = _asked_for(request)
    form = VehicleForm(request.POST or None, initial=from_request(asked) if asked else None)
    if request.method == "POST" and form.is_valid():
        name = f"{form.cleaned_data['maker']} {form.cleaned_data['name']}"
        code = keeping.free_code(name)
        if _saved(request, form, code):
            messages.success(request, _("%(name)s is entered. Measure its axles next.") % {"name": name})
            if asked:
                # Withdrawn or declined this very moment, it is over: the vehicle is entered all the same.
                with suppress(JobError):
                    deeds.name_vehicle(request_id=asked.pk, generation=code, by=request.user)
            return redirect("shop:vehicle", code)
    return _form(request, form, None, asked)


def _asked_for(request: HttpRequest) -> VehicleRequest | None:
    """Return the request that the vehicle is entered for, while it is open."""
    key = request.GET.get("request", "")
    return open_ones().filter(pk=int(key)).first() if key.isdecimal() and len(key) < 10 else None


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, code: str) -> HttpResponse:
    """Change what a vehicle is."""
    row = get_object_or_404(Generation.objects.select_related("maker"), code=code)
    form = VehicleForm(request.POST or None, generation=row)
    if request.method == "POST" and form.is_valid() and _saved(request, form, code):
        messages.success(request, _("Saved."))
        return redirect("shop:vehicle", code)
    return _form(request, form, row)


def _saved(request: HttpRequest, form: VehicleForm, code: str) -> bool:
    user: Any = request.user
    try:
        keeping.save(code=code, maker=form.cleaned_data["maker"].strip(), values=form.values(), by=user)
    except NotLiveError as error:
        form.refuse(error)
        return False
    return True


def _form(
    request: HttpRequest, form: VehicleForm, row: Generation | None, asked: VehicleRequest | None = None
) -> HttpResponse:
    context = {"form": form, "generation": row, "asked": asked}
    return render(request, "shop/vehicles/form.html", context, status=422 if form.errors else 200)
