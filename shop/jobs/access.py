"""Which staff may open which page and which job."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from .models import Job
from .roles import roles_of
from .states import BUYER, MANAGER, ORDER, REVIEWER, STAFF_ROLES, TECHNICIAN, State
from .words import role_names

View = Callable[..., HttpResponseBase]

SEES: dict[str, tuple[State, ...]] = {
    REVIEWER: tuple(State),
    MANAGER: tuple(State),
    BUYER: ORDER[ORDER.index(State.AGREED) : ORDER.index(State.READY)],
    TECHNICIAN: ORDER[ORDER.index(State.PARTS_IN) :],
}
SEES_CUSTOMER = frozenset({REVIEWER, MANAGER})


def staff(*roles: str) -> Callable[[View], View]:
    """Let in staff of these roles (any staff when none is named): others get 403, strangers the sign-in."""
    wanted = frozenset(roles or STAFF_ROLES)

    def wrap(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not roles_of(request.user) & wanted:
                raise PermissionDenied(_("This page is for: %(roles)s.") % {"roles": role_names(wanted)})
            return view(request, *args, **kwargs)

        shown = login_required(guarded)
        # So that navigation leaves out what would only answer with a refusal.
        shown.opens_to = lambda user: bool(roles_of(user) & wanted)  # type: ignore[attr-defined]
        return shown

    return wrap


def visible_states(roles: frozenset[str]) -> set[State]:
    """Return the states in which someone with these roles sees jobs."""
    return {state for role in roles for state in SEES.get(role, ())}


def visible_jobs(user: Any) -> QuerySet[Job]:
    """Return the jobs that this member of staff sees."""
    states = visible_states(roles_of(user))
    return Job.objects.all() if len(states) == len(State) else Job.objects.filter(state__in=states)


def sees_customer(user: Any) -> bool:
    """Whether contact and price are shown to them."""
    return bool(roles_of(user) & SEES_CUSTOMER)


def works_on_vehicles(user: Any) -> bool:
    """Whether they are told what the customer said about the vehicle, and its VIN."""
    return bool(roles_of(user) & {TECHNICIAN, *SEES_CUSTOMER})


def job_or_404(request: HttpRequest, number: str) -> Job:
    """Return a job that this person sees, or answer that there is none."""
    found = visible_jobs(request.user).select_related("revision", "spec", "reviewer", "agreed_revision")
    return get_object_or_404(found, number=number)


def download(data: bytes, name: str, content_type: str, *, inline: bool = False) -> HttpResponse:
    """Return a private file to keep, or to look at."""
    response = HttpResponse(data, content_type=content_type)
    response["Content-Disposition"] = f'{"inline" if inline else "attachment"}; filename="{name}"'
    response["Cache-Control"] = "private, no-cache"
    return response
