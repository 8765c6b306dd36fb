"""Template tags that every page uses: the workshop, the navigation, light or dark."""

from __future__ import annotations

from django import template
from django.urls import NoReverseMatch, resolve, reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from configurator.catalogue import workshop as workshops
from configurator.models import Workshop

register = template.Library()
THEMES = ("light", "dark")


@register.simple_tag(takes_context=True)
def workshop(context: template.Context) -> Workshop | None:
    """Return the workshop, asked for once a page."""
    known = context.render_context
    if "kerb_workshop" not in known:
        known["kerb_workshop"] = workshops.current()
    found: Workshop | None = known["kerb_workshop"]
    return found


@register.simple_tag(takes_context=True)
def theme_attribute(context: template.Context) -> str:
    """Return ``data-theme`` for the page when the visitor chose light or dark."""
    request = context.get("request")
    theme = request.COOKIES.get("theme") if request else None
    return format_html(' data-theme="{}"', theme) if theme in THEMES else SafeString("")


@register.simple_tag
def first_url(*names: str) -> str:
    """Return the address of the first name that exists."""
    for name in names:
        try:
            return reverse(name)
        except NoReverseMatch:
            continue
    return "/"


@register.simple_tag(takes_context=True)
def nav_link(context: template.Context, name: str, label: str) -> str:
    """Return a navigation link, marked when it leads here; nothing when there is no such page for them.

    A view may carry ``opens_to``, a function of the user that says whether the page is for them.
    """
    try:
        address = reverse(name)
    except NoReverseMatch:
        return ""
    request = context.get("request")
    opens_to = getattr(resolve(address).func, "opens_to", None)
    if request and opens_to and not opens_to(request.user):
        return ""
    path = request.path if request else ""
    here = path == address or (name != "shop:inbox" and path.startswith(address))
    current = SafeString(' aria-current="page"') if here else ""
    return format_html('<a href="{}"{}>{}</a>', address, current, label)
