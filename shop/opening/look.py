"""The workshop's own look: a style sheet of one accent, and the logo."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from . import service
from .accent import in_both_lights

KEPT_S = 365 * 24 * 3600
SHEET = """:root {{
  --spot: light-dark({light}, {dark});
  --on-spot: light-dark({on_light}, {on_dark});
  --info: light-dark({light}, {dark});
}}
"""


@require_safe
def style_sheet(request: HttpRequest, accent: str) -> HttpResponse:
    """Answer the sheet of an accent; its colour is in the address, so that it may be kept for ever."""
    colours = in_both_lights(f"#{accent}")
    sheet = SHEET.format(
        light=colours.light, dark=colours.dark, on_light=colours.on_light, on_dark=colours.on_dark
    )
    return _kept(HttpResponse(sheet, content_type="text/css"))


@require_safe
def logo(request: HttpRequest, name: str) -> HttpResponse:
    """Answer the logo; an address of one that was replaced is gone."""
    state = service.state()
    if state is None or not state.logo or state.logo.name != f"look/{name}.png":
        raise Http404
    with state.logo.open("rb") as file:
        return _kept(HttpResponse(file.read(), content_type="image/png"))


def _kept(response: HttpResponse) -> HttpResponse:
    response["Cache-Control"] = f"public, max-age={KEPT_S}, immutable"
    return response
