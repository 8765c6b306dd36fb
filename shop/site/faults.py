"""What a visitor reads when something failed on our side; it asks neither the database nor the disk."""

from __future__ import annotations

import sys

from django.http import HttpRequest, HttpResponse, HttpResponseServerError
from django.template.loader import render_to_string

from configurator.visitors.full import is_full


def server_error(request: HttpRequest) -> HttpResponse:
    """Say that it is our fault, or that there is no room left and nothing was taken (RFC 4918, 11.5)."""
    if is_full(sys.exc_info()[1]):
        return HttpResponse(render_to_string("507.html"), status=507)
    return HttpResponseServerError(render_to_string("500.html"))
