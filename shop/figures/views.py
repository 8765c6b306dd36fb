"""The manager's page of figures."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from configurator.catalogue import workshop
from shop.jobs.access import staff
from shop.jobs.states import MANAGER

from . import selectors as figures


@staff(MANAGER)
@require_safe
def numbers(request: HttpRequest) -> HttpResponse:
    """Show jobs by state, money still to come, parts late, bay load and margin."""
    today = timezone.localdate()
    states = figures.states()
    margins, total = figures.margins()
    context = {
        "states": states,
        "most": max((n for _, n in states), default=0) or 1,
        "outstanding": figures.outstanding(),
        "today": today,
        "late": figures.parts_late(today),
        "load": figures.bay_load(timezone.now()),
        "margins": margins[:20],
        "margins_total": total,
        "margins_count": len(margins),
        "currency": workshop.currency(),
    }
    return render(request, "shop/jobs/numbers.html", context)
