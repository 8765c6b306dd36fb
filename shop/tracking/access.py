"""The door to a job's page: the private link is the key, and nothing of the page is kept on the way."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django_htmx.http import HttpResponseClientRefresh

from shop.jobs.models import JOB_LINK, Job
from shop.jobs.opening import promised, waiting_before
from shop.jobs.roles import roles_of

from .forms import LinkForm

P = ParamSpec("P")
Answer = TypeVar("Answer", bound=HttpResponseBase)
JobPage = Callable[Concatenate[HttpRequest, Job, P], HttpResponseBase]
TokenPage = Callable[Concatenate[HttpRequest, str, P], HttpResponseBase]


def find_job(token: str) -> Job | None:
    """Return the job of a private link, expired or not."""
    return (
        Job.objects.select_related("revision", "spec", "entry", "new_address")
        .filter(JOB_LINK.q(token))
        .first()
    )


def private(response: Answer) -> Answer:
    """Keep a page out of caches, indexes and the referrers of other sites.

    ``same-origin`` and not ``no-referrer``: without any referrer a browser sends ``Origin: null`` with
    a form, which Django's CSRF check rightly refuses.
    """
    response["Cache-Control"] = "no-store, private"
    response["X-Robots-Tag"] = "noindex, nofollow, noarchive"
    response["Referrer-Policy"] = "same-origin"
    return response


def is_preview(request: HttpRequest) -> bool:
    """Whether staff look at a customer's page: they see what the customer sees and act for nobody."""
    return bool(roles_of(request.user))


def by_link(view: JobPage[P]) -> TokenPage[P]:
    """Find the job of the link: 404 for an unknown one, 410 for an expired one, 403 for staff who press."""

    @wraps(view)
    def wrapped(request: HttpRequest, token: str, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        job = find_job(token)
        if job is None:
            return being_opened(request, token)
        if _looks_again(request):
            return HttpResponseClientRefresh()
        if not job.link_is_live:
            return expired(request)
        if is_preview(request) and request.method == "POST":
            raise PermissionDenied(_("You are signed in as staff: this page is the customer's, to look at."))
        return private(view(request, job, *args, **kwargs))

    return wrapped


def _looks_again(request: HttpRequest) -> bool:
    """Whether the page of a job that is being opened asks whether it is there by now."""
    return request.htmx.target == "being-opened"  # type: ignore[attr-defined]


def being_opened(request: HttpRequest, token: str) -> HttpResponseBase:
    """Say that a build arrived whose job is still being opened; any other link is unknown.

    A press finds no page to act on yet. The page that looks again gets how many wait before it.
    """
    promise = promised(token)
    if promise is None:
        if find_job(token) is None:
            raise Http404
        return private(redirect("tracking:job", token))  # it was opened between the two looks
    gave_up = promise.state == promise.State.FAILED
    if _looks_again(request) and gave_up:
        return HttpResponseClientRefresh()
    again = _looks_again(request)
    told = {"gave_up": gave_up, "before": waiting_before(promise), "again": again}
    return private(render(request, f"tracking/{'_before' if again else 'being_opened'}.html", told))


def expired(request: HttpRequest) -> HttpResponseBase:
    """Say that the link no longer works, and how to get one that does; nothing of the job is shown."""
    form = LinkForm(address=reverse("tracking:new_link"))
    return private(render(request, "tracking/expired.html", {"form": form}, status=410))
