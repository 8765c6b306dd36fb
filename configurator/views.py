"""Start page and preferences; building and sharing have modules of their own."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from .models import Generation

PREFERENCES = {"theme": ("light", "dark", "auto"), "units": ("mm", "in")}
YEAR_S = 365 * 24 * 3600


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """Show the vehicles that the workshop builds on."""
    generations = Generation.objects.select_related("maker")
    return render(request, "configurator/start.html", {"generations": generations})


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
