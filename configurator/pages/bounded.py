"""What a visitor is told who did more in a short time than one address may; nothing typed is lost."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.formats import time_format
from django.utils.translation import gettext, ngettext

from configurator.visitors.address import visitor_address
from configurator.visitors.limiting import limit_of, wait_for

DAY_S = 24 * 3600


def too_many(request: HttpRequest, what: str) -> int:
    """Count one more deed of this visitor's address; return the seconds to wait when it is one too many."""
    return wait_for(what, visitor_address(request))


def refused(request: HttpRequest, sentence: str, wait_s: int) -> HttpResponse:
    """Answer with a page of its own that says what was too much and when it goes on (RFC 6585, 4)."""
    response = render(request, "429.html", {"sentence": sentence}, status=429)
    response["Retry-After"] = str(wait_s)
    return response


def builds_sentence(wait_s: int) -> str:
    """Say that too many builds were begun."""
    return (
        ngettext(
            "From your connection %(count)d build was begun within a short time, as many as we take.",
            "From your connection %(count)d builds were begun within a short time, as many as we take.",
            _count("builds"),
        )
        % {"count": _count("builds")}
        + " "
        + again(wait_s)
    )


def sends_sentence(wait_s: int) -> str:
    """Say that too many builds were sent; the build itself is kept."""
    return " ".join(
        [
            gettext("It was not sent: from your connection came as many builds as we take in a short time."),
            gettext("Your build and all you typed are kept on this page."),
            again(wait_s),
        ]
    )


def recipient_sentence(wait_s: int) -> str:
    """Say that to this mail address enough mails went out, asked for by whoever it was."""
    return " ".join(
        [
            gettext("It was not sent: to this mail address as many mails went out as we send in one day."),
            gettext("Look among unwanted mail; the last one leads on."),
            again(wait_s),
        ]
    )


def photos_sentence(wait_s: int) -> str:
    """Say that too many photos were sent."""
    sentence = gettext("From your connection came as many photos as we take in a short time.")
    return f"{sentence} {again(wait_s)}"


def again(wait_s: int) -> str:
    """Say when it can be tried again: the time of day, or how many hours when it is far off."""
    if wait_s >= DAY_S // 2:
        hours = round(wait_s / 3600)
        return ngettext("Try again in %(count)d hour.", "Try again in %(count)d hours.", hours) % {
            "count": hours
        }
    free = timezone.localtime(timezone.now() + timedelta(seconds=wait_s + 59))
    return gettext("Try again after %(time)s.") % {"time": time_format(free, "H:i")}


def _count(what: str) -> int:
    item = limit_of(what)
    return item.amount if item else 0
