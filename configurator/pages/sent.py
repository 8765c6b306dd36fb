"""A build that was sent: its own link shows no more than that, except to the browser that sent it.

The build's link may have been passed on, and the customer may ask for a new link to the job because of it.
So the old link leads nowhere by itself. The browser that sent the build keeps the address it was given;
when the link to the job is renewed, that address stops working like every other copy of it.
"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect

from configurator.builds.models import Spec

SESSION_KEY = "sent"
KEPT = 10


def remember_sent(request: HttpRequest, spec: Spec, address: str) -> None:
    """Keep on this device where its sent build is followed."""
    known = dict(request.session.get(SESSION_KEY, {}))
    known.pop(spec.token, None)
    request.session[SESSION_KEY] = dict([*known.items(), (spec.token, address)][-KEPT:])


def already_sent(request: HttpRequest, spec: Spec) -> HttpResponse:
    """Lead the browser that sent it on; tell everybody else that it was sent and how to get a link."""
    address = request.session.get(SESSION_KEY, {}).get(spec.token)
    if address:
        return onwards(request, address)
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponseClientRedirect(reverse("configurator:build", args=[spec.token]))
    return render(request, "configurator/sent.html", {"spec": spec})


def onwards(request: HttpRequest, address: str) -> HttpResponse:
    """Go to another page, also when a script is asking."""
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponseClientRedirect(address)
    return HttpResponseRedirect(address)
