"""A strict Content-Security-Policy on every answer, and no address that no text can hold."""

from __future__ import annotations

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse

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
