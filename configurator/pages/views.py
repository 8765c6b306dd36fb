"""Start page and preferences; building and sharing have modules of their own."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from configurator.builds.looks import UNCHOSEN_HEX
from configurator.builds.models import Spec
from configurator.catalogue import snapshot
from configurator.catalogue.models import Generation

from . import drawing

PREFERENCES = {"theme": ("light", "dark", "auto"), "units": ("mm", "in")}
YEAR_S = 365 * 24 * 3600


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """Show the vehicles that the workshop builds on."""
    catalogue = snapshot.current()
    mine = Spec.objects.filter(token__in=request.session.get("builds", []))
    vehicles = [
        {"generation": row, "picture": drawing.vehicle_picture(code, _first_colour(row), catalogue)}
        for code, row in catalogue.generations.items()
    ]
    return render(request, "configurator/start.html", {"vehicles": vehicles, "mine": mine})


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
