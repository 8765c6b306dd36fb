"""A bound on the whole of a request, looked at before anything of it is read."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def bounded_requests(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Refuse what announces more than its address may take; what announces no length is read as empty.

    ``settings.REQUEST_BYTES`` holds the bounds by the beginning of the address. Files are counted with the
    rest: Django's own bound leaves them out, and parsing them first would already fill the disk.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        try:
            length = int(request.META.get("CONTENT_LENGTH") or 0)
        except ValueError:
            length = 0
        most = _most(request.path_info)
        if length > most:
            return render(request, "413.html", {"mb": max(1, most // 1_000_000)}, status=413)
        return get_response(request)

    return middleware


def _most(path: str) -> int:
    found = (bound for start, bound in settings.REQUEST_BYTES.items() if path.startswith(start))
    return next(found)
