"""The plan, and the bays and hours it is made on."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import groupby
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.jobs.access import staff, visible_states
from shop.jobs.models import JobOperation
from shop.jobs.roles import roles_of
from shop.jobs.states import MANAGER, REVIEWER

from . import solver
from .calendar import USUAL, Stretch
from .forms import FORMS
from .loading import PLANNED
from .models import Bay, ClosedDay, OpeningHours
from .picture import picture, working_days
from .service import PlanError, replan, unplanned_jobs

DAYS = 5


def first_day(request: HttpRequest) -> date:
    """Return the day the plan is shown from; nonsense in the address shows today."""
    try:
        asked = parse_date(request.GET.get("from", ""))
    except ValueError:
        asked = None
    return asked if asked and 2000 <= asked.year <= 2200 else timezone.localdate()


@staff()
@require_safe
def plan(request: HttpRequest) -> HttpResponse:
    """Show who is where and when, as bars by bay and as a list by day."""
    first, now = first_day(request), timezone.now()
    hours = [Stretch(row.weekday, row.opens, row.closes, row.people) for row in OpeningHours.objects.all()]
    closed = set(ClosedDay.objects.values_list("day", flat=True))
    days = working_days(first, DAYS, hours or USUAL, closed) or [first]
    bays = list(Bay.objects.all())
    steps = list(_steps(request, days[0], days[-1]))
    context = {
        "picture": picture(steps, bays, days, hours or USUAL, now),
        "by_day": [
            (day, list(rows))
            for day, rows in groupby(steps, key=lambda row: timezone.localtime(row.planned_start).date())
        ],
        "bays": bays,
        "days": days,
        "earlier": days[0] - timedelta(days=8),
        "later": days[-1] + timedelta(days=1),
        "unplanned": unplanned_jobs(),
        "may_plan": bool(roles_of(request.user) & {REVIEWER, MANAGER}),
        "has_solver": solver.is_available(),
        "may_set": MANAGER in roles_of(request.user),
    }
    return render(request, "shop/planning/plan.html", context)


def _steps(request: HttpRequest, first: date, last: date) -> Any:
    """Return the planned steps that touch these days, of jobs this person sees."""
    states = [state for state in PLANNED if state in visible_states(roles_of(request.user))]
    return (
        JobOperation.objects.filter(
            job__state__in=states, planned_start__date__lte=last, planned_free__date__gte=first
        )
        .select_related("job", "job__revision", "bay")
        .order_by("planned_start", "job", "position")
    )


@staff(REVIEWER, MANAGER)
@require_POST
def make(request: HttpRequest) -> HttpResponse:
    """Plan anew."""
    try:
        done = replan(thorough=request.POST.get("thorough") == "1")
    except PlanError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Planned {done.steps} steps of {done.jobs} jobs.")
        if done.moved_bookings:
            messages.warning(
                request, f"These bookings no longer held and were moved: {', '.join(done.moved_bookings)}."
            )
    return redirect("shop:plan")


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def setup(request: HttpRequest) -> HttpResponse:
    """Show and add bays, opening hours and closed days."""
    kind = request.POST.get("kind_of_row", "")
    forms = {name: form(prefix=name) for name, form in FORMS.items()}
    status = 200
    if request.method == "POST":
        if kind not in FORMS:
            raise Http404("There is no such list.")
        forms[kind] = FORMS[kind](request.POST, prefix=kind)
        if forms[kind].is_valid():
            forms[kind].save()
            messages.success(request, "Added. Plan anew for it to count.")
            return redirect("shop:plan_setup")
        status = 422
    context = {
        "forms": forms,
        "bays": Bay.objects.all(),
        "hours": OpeningHours.objects.all(),
        "closed": ClosedDay.objects.filter(day__gte=timezone.localdate() - timedelta(days=7)),
    }
    return render(request, "shop/planning/setup.html", context, status=status)


@staff(MANAGER)
@require_POST
def change_row(request: HttpRequest, kind: str, row_id: int) -> HttpResponse:
    """Take a bay out of use or back, or remove hours or a closed day."""
    models: dict[str, Any] = {"bay": Bay, "hours": OpeningHours, "closed": ClosedDay}
    if kind not in models:
        raise Http404("There is no such list.")
    row = get_object_or_404(models[kind], pk=row_id)
    if kind == "bay":
        row.is_open = not row.is_open
        row.save(update_fields=["is_open"])
        messages.success(request, f"{row.name} is {'in use' if row.is_open else 'out of use'}. Plan anew.")
    else:
        row.delete()
        messages.success(request, "Removed. Plan anew for it to count.")
    return redirect("shop:plan_setup")
