"""Start page and preferences; building and sharing have modules of their own."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from configurator.builds.looks import UNCHOSEN_HEX
from configurator.builds.models import Spec
from configurator.builds.selection import Selection
from configurator.catalogue import selectors, snapshot
from configurator.catalogue.models import Generation
from configurator.catalogue.snapshot import Catalogue
from configurator.catalogue.workshop import currency_of

from . import drawing, looks
from .device import remembered

PREFERENCES = {"theme": ("light", "dark", "auto"), "units": ("mm", "in")}
MOST_BEGUN, MOST_KEPT = 6, 500
YEAR_S = 365 * 24 * 3600


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """Show the vehicles that the workshop builds on."""
    catalogue = snapshot.current()
    found = remembered(request)
    vehicles = [
        {
            "generation": row,
            "picture": drawing.vehicle_picture(code, _first_colour(row), catalogue),
            "wheels": _wheels_for(row, catalogue),
            "looks": looks.of_vehicle(code, catalogue),
            "options": len(selectors.options_for(catalogue, row)),
        }
        for code, row in catalogue.generations.items()
    ]
    currency = currency_of(catalogue.workshop)
    mine = [_begun(spec, catalogue) for spec in found[:MOST_BEGUN]]
    context = {"vehicles": vehicles, "mine": mine, "currency": currency}
    return render(request, "configurator/start.html", context)


@require_safe
def privacy(request: HttpRequest) -> HttpResponse:
    """Show what the workshop says of people's data; a workshop that says nothing has no such page."""
    workshop = snapshot.current().workshop
    if workshop is None or not workshop.privacy:
        raise Http404
    return render(request, "configurator/privacy.html", {"workshop_row": workshop})


def _wheels_for(generation: Generation, catalogue: Catalogue) -> int:
    """Return how many stocked wheels go on the vehicle's front hub."""
    axle = catalogue.axles.get((generation.code, "front"))
    return catalogue.once(
        "wheels counted",
        generation.code,
        lambda: len(selectors.wheels_for(catalogue, axle)) if axle else 0,
        most=MOST_KEPT,
    )


def _begun(spec: Spec, catalogue: Catalogue) -> dict[str, Any]:
    """Return a build begun on this device: its picture, its vehicle and the price last shown."""
    selection = Selection.model_validate(spec.selection)
    price = (spec.evaluation or {}).get("price") or {}
    drawn = drawing.pictures(selection, catalogue, prefix=f"b{spec.pk}")["picture_side"]
    return {
        "spec": spec,
        "generation": catalogue.generations.get(selection.generation),
        "picture": drawn if selection.generation in catalogue.generations else "",
        "total": Decimal(price["total"]) if price else None,
    }


def _first_colour(generation: Generation) -> str:
    """Return the colour to show a vehicle in: one that is neither white nor black, where it has one."""
    colours = [finish.hex for finish in generation.body_finishes.all()]
    lively = [colour for colour in colours if len({int(colour[i : i + 2], 16) // 24 for i in (1, 3, 5)}) > 2]
    return (lively or colours or [UNCHOSEN_HEX])[0]


@require_POST
def preferences(request: HttpRequest) -> HttpResponse:
    """Remember light or dark, and millimetres or inches, in a cookie; unknown values change nothing."""
    wanted = request.POST.get("next", "/")
    safe = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    response = HttpResponseRedirect(wanted if safe else "/")
    for name, values in PREFERENCES.items():
        value = request.POST.get(name)
        if value == "auto":
            response.delete_cookie(name)
        elif value in values:
            response.set_cookie(
                name, value, max_age=YEAR_S, samesite="Lax", httponly=True, secure=request.is_secure()
            )
    return response
