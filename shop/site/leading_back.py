"""A way on from addresses that only take what is posted, for whoever comes there by a link.

A refused form is shown under the address that it was posted to. Changing the language on that page, coming
back to it from a restored tab or passing its address on asks for it without posting: then what it belongs to
is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import Resolver404, resolve
from django.utils.http import escape_leading_slashes

NOT_ALLOWED = 405


def to_what_it_belongs_to(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Lead a person's browser from an address that only takes posts to the page above it."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if response.status_code != NOT_ALLOWED or request.method not in ("GET", "HEAD"):
            return response
        if "text/html" not in request.headers.get("Accept", "") or request.path_info == "/":
            return response
        return HttpResponseRedirect(next(_above(request.path_info)))

    return middleware


def _above(path: str) -> Iterator[str]:
    """Yield the addresses above a path that lead anywhere, the nearest first and at last the first page."""
    while path := path.rstrip("/").rpartition("/")[0]:
        try:
            resolve(f"{path}/")
        except Resolver404:
            continue
        yield escape_leading_slashes(f"{path}/")
    yield "/"
