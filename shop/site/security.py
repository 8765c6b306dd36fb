"""A strict Content-Security-Policy on every answer, and no address that no text can hold."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth.views import LogoutView
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone

from configurator.catalogue import workshop as workshops

POLICY = "; ".join(
    [
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    ]
)
PRIVATE = (
    "/workshop/", "/job/", "/not-listed/", "/calendar/", "/build/", "/confirm/", "/sign-in/", "/sign-out/",
    "/admin/",
)  # fmt: skip
PERMISSIONS = "camera=(), geolocation=(), microphone=(), payment=()"


def content_security_policy(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Add the policy unless a view has set its own."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        return response

    return middleware


def private_pages(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Have no cache, shared or on the device, keep a private page, staff's or customer's.

    Pictures and files that set their own rule keep it. Other sites may not embed what is private.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if request.path_info.startswith(PRIVATE):
            response.headers.setdefault("Cache-Control", "no-store")
            response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        return response

    return middleware


def security_txt(request: HttpRequest) -> HttpResponse:
    """Tell whom to write to about a weakness (RFC 9116); 404 while the workshop has no address."""
    workshop = workshops.current()
    if workshop is None or not workshop.email:
        raise Http404
    # A year at most, says the standard; the end of next month keeps the text cacheable and fresh.
    expires = (timezone.now() + timedelta(days=60)).replace(day=1, hour=0, minute=0, second=0, microsecond=0)
    languages = ", ".join(sorted({code.split("-")[0] for code, _ in settings.LANGUAGES}))
    lines = [
        f"Contact: mailto:{workshop.email}",
        f"Expires: {expires.isoformat()}",
        f"Preferred-Languages: {languages}",
        f"Canonical: {settings.SITE_URL.rstrip('/')}/.well-known/security.txt",
    ]
    return HttpResponse("\n".join(lines) + "\n", content_type="text/plain; charset=utf-8")


class SignOut(LogoutView):
    """Sign out and have the browser forget what it kept of the site."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """End the session."""
        response = super().post(request, *args, **kwargs)
        response.headers["Clear-Site-Data"] = '"cache", "storage"'
        return response


def no_null_characters(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Refuse an address with a null character: PostgreSQL's text holds none, so nothing is found by it.

    Django's form fields refuse it in what is asked or posted.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        if "\x00" in request.path_info:
            raise Http404
        return get_response(request)

    return middleware
