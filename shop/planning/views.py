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
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.jobs.access import staff
from shop.jobs.models import JobOperation
from shop.jobs.roles import roles_of
from shop.jobs.states import MANAGER, REVIEWER

from . import solver
from .calendar import USUAL, Stretch
from .forms import FORMS, RulesForm
from .models import Bay, ClosedDay, OpeningHours, PlanRules, PlanRun
from .picture import picture, working_days
from .promises import open_promises
from .selectors import steps_between
from .service import unplanned_jobs
from .views_people import tell_touched
from .wishes import ask_for_plan, current_run
from .words import PROGRESS, why_not_planned

DAYS = 5
UNPLANNED = 20


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
    steps = list(steps_between(request.user, days[0], days[-1]))
    run, unplanned = current_run(), unplanned_jobs(UNPLANNED)
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
        "unplanned": unplanned[:UNPLANNED],
        "unplanned_more": len(unplanned) > UNPLANNED,
        "left_out": [(number, why_not_planned(code, which)) for number, code, which in run.problems],
        "broken": open_promises().count(),
        **_progress(run),
        "may_plan": bool(roles_of(request.user) & {REVIEWER, MANAGER}),
        "has_solver": solver.is_available(),
        "may_set": MANAGER in roles_of(request.user),
    }
    return render(request, "shop/planning/plan.html", context)


@staff()
@require_safe
def progress(request: HttpRequest) -> HttpResponse:
    """How far planning is; once it is done, the page that asks loads itself anew."""
    run = current_run()
    response = render(request, "shop/planning/progress.html", _progress(run))
    if not run.is_waiting:
        response["HX-Refresh"] = "true"
    return response


def _progress(run: PlanRun) -> dict[str, Any]:
    return {
        "run": run,
        "stage": PROGRESS.get(run.stage, _("Waiting for a worker")),
        "percent": max(3, run.percent) if run.begun > run.kept else 3,
    }


@staff(REVIEWER, MANAGER)
@require_POST
def make(request: HttpRequest) -> HttpResponse:
    """Plan anew."""
    ask_for_plan(thorough=request.POST.get("thorough") == "1")
    return redirect("shop:plan")


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def setup(request: HttpRequest) -> HttpResponse:
    """Show and add bays, opening hours and closed days."""
    kind = request.POST.get("kind_of_row", "")
    forms = {name: form(prefix=name) for name, form in FORMS.items()}
    rules = RulesForm(instance=PlanRules.objects.first(), prefix="rules")
    status = 200
    if request.method == "POST" and kind == "rules":
        rules = RulesForm(request.POST, instance=PlanRules.objects.first(), prefix="rules")
        if rules.is_valid():
            rules.save()
            ask_for_plan()
            messages.success(request, _("Saved. The plan is made anew."))
            return redirect("shop:plan_setup")
        status = 422
    elif request.method == "POST":
        if kind not in FORMS:
            raise Http404("There is no such list.")
        forms[kind] = FORMS[kind](request.POST, prefix=kind)
        if forms[kind].is_valid():
            row = forms[kind].save()
            ask_for_plan()
            if isinstance(row, ClosedDay):
                tell_touched(request, _on_day(row.day))
            else:
                messages.success(request, _("Saved. The plan is made anew."))
            return redirect("shop:plan_setup")
        status = 422
    context = {
        "forms": forms,
        "rules": rules,
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
    if kind == "bay":
        _use_bay(request, get_object_or_404(Bay, pk=row_id))
    elif (row := models[kind].objects.filter(pk=row_id).first()) is None:
        messages.info(request, _("It was removed before."))
    else:
        row.delete()
        ask_for_plan()
        messages.success(request, _("Removed. The plan is made anew."))
    return redirect("shop:plan_setup")


def _use_bay(request: HttpRequest, bay: Bay) -> None:
    """Take a bay out of use or back, as the button said: pressed twice, it stays as it was wanted."""
    wanted = request.POST.get("use", "0" if bay.is_open else "1") == "1"
    if bay.is_open == wanted:
        said = _("%(bay)s is in use already.") if wanted else _("%(bay)s is out of use already.")
        messages.info(request, said % {"bay": bay.name})
        return
    bay.is_open = wanted
    bay.save(update_fields=["is_open"])
    ask_for_plan()
    if wanted:
        messages.success(request, _("%(bay)s is in use. The plan is made anew.") % {"bay": bay.name})
    else:
        tell_touched(request, JobOperation.objects.filter(bay=bay))


def _on_day(day: date) -> Any:
    return JobOperation.objects.filter(planned_start__date__lte=day, planned_end__date__gte=day)
