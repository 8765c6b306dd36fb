"""The workshop's own look on a page: where its accent's sheet and its logo lie, and its languages."""

from __future__ import annotations

from django import template
from django.conf import settings
from django.urls import reverse

from shop.opening.languages import offered
from shop.opening.models import SiteState
from shop.showcase.selectors import is_any

register = template.Library()


def _state(context: template.Context) -> SiteState | None:
    return getattr(context.get("request"), "site_state", None)


@register.simple_tag(takes_context=True)
def accent_sheet(context: template.Context) -> str:
    """Return the address of the accent's style sheet; empty where the usual accent stands."""
    state = _state(context)
    return reverse("look_sheet", args=[state.accent.removeprefix("#")]) if state and state.accent else ""


@register.simple_tag(takes_context=True)
def logo_address(context: template.Context) -> str:
    """Return the address of the logo; empty where there is none."""
    state = _state(context)
    if state is None or not state.logo:
        return ""
    return reverse("look_logo", args=[str(state.logo.name).removeprefix("look/").removesuffix(".png")])


@register.simple_tag(takes_context=True)
def finished_builds(context: template.Context) -> bool:
    """Return whether there is a finished build to show, asked once a page."""
    request = context.get("request")
    if request is None:
        return is_any()
    if not hasattr(request, "any_finished"):
        request.any_finished = is_any()
    return bool(request.any_finished)


@register.simple_tag(takes_context=True)
def languages(context: template.Context) -> list[tuple[str, str]]:
    """Return the languages that this reader may choose: staff all, customers those that the site speaks."""
    request, state = context.get("request"), _state(context)
    if state is None or getattr(getattr(request, "user", None), "is_authenticated", False):
        return list(settings.LANGUAGES)
    return offered(state)
