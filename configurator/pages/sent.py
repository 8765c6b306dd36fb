"""A build that was sent: its own link shows no more than that, except to the browser that sent it.

The build's link may have been passed on, and the customer may ask for a new link to the job because of it.
So the old link leads nowhere by itself. The browser that sent the build is led on to the address that it was
given, as long as that one works: when the link to the job is renewed, it stops like every other copy.
"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.crypto import constant_time_compare
from django_htmx.http import HttpResponseClientRedirect

from configurator.builds.models import Spec
from configurator.builds.signals import address_asked
from configurator.builds.tokens import digest_of

SESSION_KEY = "sent"
KEPT = 10


def remember_sent(request: HttpRequest, spec: Spec, address: str) -> None:
    """Keep on this device, as a digest, where its sent build is followed."""
    known = dict(request.session.get(SESSION_KEY, {}))
    known.pop(str(spec.pk), None)
    request.session[SESSION_KEY] = dict([*known.items(), (str(spec.pk), digest_of(address))][-KEPT:])


def already_sent(request: HttpRequest, spec: Spec) -> HttpResponse:
    """Lead the browser that sent it on; tell everybody else that it was sent and how to get a link."""
    given = request.session.get(SESSION_KEY, {}).get(str(spec.pk), "")
    address = _address(spec) if given else ""
    if address and constant_time_compare(digest_of(address), given):
        return onwards(request, address)
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponseClientRedirect(reverse("configurator:build", args=[spec.token]))
    return render(request, "configurator/sent.html", {"spec": spec})


def _address(spec: Spec) -> str:
    """Return where a sent build is followed now, as the shop answers."""
    answers = address_asked.send(sender=Spec, spec=spec)
    return next((str(address) for _receiver, address in answers if address), "")


def onwards(request: HttpRequest, address: str) -> HttpResponse:
    """Go to another page, also when a script is asking."""
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponseClientRedirect(address)
    return HttpResponseRedirect(address)
