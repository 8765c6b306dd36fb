"""Language, light or dark and units: chosen once, kept with the account, carried by cookies as for anyone."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from http.cookies import Morsel
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.utils.translation import check_for_language

from .models import StaffPreference

YEAR_S = 365 * 24 * 3600
CHOICES: dict[str, tuple[str, ...]] = {"theme": ("", "light", "dark"), "units": ("", "mm", "in")}
COOKIES = {"language": settings.LANGUAGE_COOKIE_NAME, "theme": "theme", "units": "units"}
CHOOSING = ("/i18n/setlang/", "/preferences/")
"""Where the buttons at the foot of every page post to."""


def of(user: Any) -> dict[str, str]:
    """Return what somebody chose; empty texts where they chose nothing."""
    found = StaffPreference.objects.filter(user=user.pk).values(*COOKIES).first()
    return dict(found) if found else dict.fromkeys(COOKIES, "")


def keep(user: User, chosen: Mapping[str, str]) -> None:
    """Keep what is known among the choices; anything else is left as it was."""
    good = {name: value for name, value in chosen.items() if is_known(name, value)}
    if good:
        StaffPreference.objects.update_or_create(user=user, defaults=good)


def is_known(name: str, value: str) -> bool:
    """Whether a value is one that can be chosen."""
    if name == "language":
        return value == "" or (value in dict(settings.LANGUAGES) and check_for_language(value))
    return value in CHOICES.get(name, ())


def carry(response: HttpResponse, chosen: Mapping[str, str], *, secure: bool) -> None:
    """Have the browser carry the choices from now on; one that is empty is forgotten."""
    for name, value in chosen.items():
        cookie = COOKIES[name]
        if value:
            response.set_cookie(
                cookie, value, max_age=YEAR_S, samesite="Lax", httponly=name != "language", secure=secure
            )
        else:
            response.delete_cookie(cookie)


def remember_choices(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Keep with the account what a signed-in person chooses at the foot of a page."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if request.method == "POST" and request.path_info in CHOOSING and isinstance(request.user, User):
            found = {name: response.cookies.get(cookie) for name, cookie in COOKIES.items()}
            keep(request.user, {name: _value(morsel) for name, morsel in found.items() if morsel is not None})
        return response

    return middleware


def _value(morsel: Morsel[str]) -> str:
    return "" if morsel["max-age"] == 0 else morsel.value
