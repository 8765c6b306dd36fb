"""What every request passes: customers wait outside a closed site, and get only the languages it speaks."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation

from shop.jobs.roles import roles_of
from shop.jobs.states import MANAGER

from . import service
from .languages import allowed
from .models import SiteState

BUILDING = ("/begin/", "/build/", "/share/", "/looks/", "/finished/")
"""Where customers build and look around; what belongs to a job that was sent stays open, so does sign-in."""
ASKING = ("/", "/not-listed/")
STAFFS = ("/workshop/", "/admin/")
RETRY_S = 24 * 3600


def site_state(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Read the site's state once a page; show a closed site to staff alone."""

    def middleware(request: HttpRequest) -> HttpResponse:
        path = request.path_info
        if path.startswith(("/static/", "/healthz", "/readyz", "/metrics")):
            return get_response(request)
        state = service.state()
        request.site_state = state  # type: ignore[attr-defined]
        if state is None:
            return get_response(request)
        if path == "/workshop/" and _comes_first(request, state):
            return redirect("shop:settings")
        if path.startswith(STAFFS):
            return get_response(request)
        _speak(request, state)
        if (
            (path in ASKING or path.startswith(BUILDING))
            and state.opened_at is None
            and not roles_of(request.user)
        ):
            response = render(
                request, "opening/closed.html", {"ever_open": state.first_opened_at}, status=503
            )
            response["Retry-After"] = str(RETRY_S)
            response["Cache-Control"] = "no-store"
            return response
        return get_response(request)

    return middleware


def _closed(request: HttpRequest, state: SiteState) -> HttpResponse:
    context = {"ever_open": state.first_opened_at}
    response = render(request, "opening/closed.html", context, status=503)
    response["Retry-After"] = str(RETRY_S)
    response["Cache-Control"] = "no-store"
    return response


def _speak(request: HttpRequest, state: SiteState) -> None:
    """Answer in a language that the site speaks to customers; staff may use any."""
    if not state.languages or request.user.is_authenticated:
        return
    code = allowed(translation.get_language() or "", state)
    if code != translation.get_language():
        translation.activate(code)
        request.LANGUAGE_CODE = code


def _comes_first(request: HttpRequest, state: SiteState) -> bool:
    """Whether this is a manager's first look at a site that was never open: it begins with setting up."""
    if state.first_opened_at or request.session.get("setting_up") or MANAGER not in roles_of(request.user):
        return False
    request.session["setting_up"] = True
    return True
