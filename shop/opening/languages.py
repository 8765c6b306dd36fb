"""Which languages the site speaks to customers, and the one that the workshop's own texts are in."""

from __future__ import annotations

from django.conf import settings

from . import service
from .models import SiteState


def offered(state: SiteState | None = None) -> list[tuple[str, str]]:
    """Return code and name of the languages that customers may choose; all where nobody has chosen."""
    found = state or service.state()
    wanted = found.languages if found else []
    return [(code, name) for code, name in settings.LANGUAGES if code in wanted or not wanted]


def own_language() -> str:
    """Return the language that the rows of the catalogue are written in; the others are translations."""
    return settings.LANGUAGE_CODE


def allowed(code: str, state: SiteState) -> str:
    """Return the language itself, or the first of those offered when it is none of them."""
    codes = [one for one, _name in offered(state)]
    return code if code in codes or not codes else codes[0]
