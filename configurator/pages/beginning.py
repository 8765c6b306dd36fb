"""Beginning a build with choices that were made elsewhere: a shared build, a finished one."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import get_language

from configurator.builds import service
from configurator.builds.selection import Selection

from .bounded import builds_sentence, refused, too_many
from .told import told


def begin_with(request: HttpRequest, selection: Selection) -> HttpResponse:
    """Begin a build for the vehicle that was asked for, and say what did not come along."""
    if wait := too_many(request, "builds"):
        return refused(request, builds_sentence(wait), wait)
    try:
        begun, left = service.start_with(
            selection=selection,
            generation=request.POST.get("generation", ""),
            language=get_language() or settings.LANGUAGE_CODE,
        )
    except KeyError:
        return render(request, "404.html", status=404)
    for text in left:
        messages.info(request, told(text))
    return HttpResponseRedirect(reverse("configurator:build", args=[begun.token]))
