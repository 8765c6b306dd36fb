"""What a signed-in person's every request passes: time limits, and the second factor where it is asked."""

from __future__ import annotations

import time
from collections.abc import Callable

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from shop.jobs.roles import roles_of

# What changes an account asks for the second factor as well: a password that leaked must not change itself.
GUARDED = ("/workshop/", "/admin/", "/sign-in/account/")
NOTED_EVERY_S = 60


def session_limits(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """End a session that has lasted too long, or in which nothing was done for too long."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated and _is_over(request):
            logout(request)
            messages.info(request, _("You were signed out because some time had passed. Sign in again."))
        return get_response(request)

    return middleware


def _is_over(request: HttpRequest) -> bool:
    now = int(time.time())
    begun = request.session.setdefault("signed_in_at", now)
    seen = request.session.get("seen_at", now)
    if now - begun > settings.SESSION_ABSOLUTE_S or now - seen > settings.SESSION_IDLE_S:
        return True
    if now - seen >= NOTED_EVERY_S or "seen_at" not in request.session:
        request.session["seen_at"] = now
    return False


def second_factor(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Lead who must have a second factor and has not shown it to where it is shown or set up."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if request.path_info.startswith(GUARDED) and must_show(request):
            return redirect("second_factor")
        return get_response(request)

    return middleware


def must_show(request: HttpRequest) -> bool:
    """Whether this person's role asks for a second factor that this session has not seen."""
    user = request.user
    if not user.is_authenticated or user.is_verified():  # type: ignore[attr-defined]
        return False
    if request.session.get("code_wanted"):
        return True
    asked = set(settings.SECOND_FACTOR_FOR)
    return bool(asked) and (user.is_superuser or bool(asked & roles_of(user)))
