"""Which mail addresses this browser has proved to be its own, as keyed digests in its session."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest
from django.utils.crypto import constant_time_compare, salted_hmac

SESSION_KEY, KEPT = "confirmed", 5


def must_confirm(request: HttpRequest, email: str) -> bool:
    """Whether a build sent with this address waits for the link in a mail."""
    return settings.KERBLINE_CONFIRM_ADDRESS and not is_confirmed(request, email)


def is_confirmed(request: HttpRequest, email: str) -> bool:
    """Whether this browser has opened a link that was mailed to the address."""
    known = request.session.get(SESSION_KEY, [])
    return any(constant_time_compare(one, _digest(email)) for one in known)


def remember_confirmed(request: HttpRequest, email: str) -> None:
    """Keep that this browser has proved the address."""
    known = [one for one in request.session.get(SESSION_KEY, []) if one != _digest(email)]
    request.session[SESSION_KEY] = [_digest(email), *known][:KEPT]


def _digest(email: str) -> str:
    return salted_hmac("kerbline.confirmed", email.strip().casefold(), algorithm="sha256").hexdigest()
