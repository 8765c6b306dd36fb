"""People: who is on what today and tomorrow, absences, skills, hours, and one's own list."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.jobs.access import staff
from shop.jobs.models import JobOperation
from shop.jobs.roles import roles_of
from shop.jobs.states import MANAGER

from .forms import PEOPLE_FORMS, PersonForm
from .models import Absence, Person, PersonHours
from .selectors import days_of_people, touched_bookings
from .wishes import ask_for_plan


@staff()
@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Who is on what today and tomorrow."""
    return render(request, "shop/planning/people.html", _context(request))


def _context(request: HttpRequest, **more: Any) -> dict[str, Any]:
    today = timezone.localdate()
    forms = {name: form(prefix=name) for name, form in PEOPLE_FORMS.items()}
    everyone = list(Person.objects.prefetch_related("hours"))
    return {
        "days": [today, today + timedelta(days=1)],
        "by_person": days_of_people(request.user, [today, today + timedelta(days=1)]),
        "absences": Absence.objects.filter(last_day__gte=today).select_related("person"),
        "everyone": everyone,
        "may_set": MANAGER in roles_of(request.user),
        "forms": forms | more,
    }


@staff(MANAGER)
@require_POST
def add(request: HttpRequest, kind: str) -> HttpResponse:
    """Add a person, an absence or hours; an absence names every booked job it touches."""
    if kind not in PEOPLE_FORMS:
        raise Http404("There is no such list.")
    form = PEOPLE_FORMS[kind](request.POST, prefix=kind)
    if not form.is_valid():
        return render(request, "shop/planning/people.html", _context(request, **{kind: form}), status=422)
    row = form.save()
    if isinstance(row, Absence):
        tell_touched(request, _of_absence(row))
    else:
        messages.success(request, _("Saved. The plan is made anew."))
    ask_for_plan()
    return redirect("shop:people")


def _of_absence(row: Absence) -> Any:
    return JobOperation.objects.filter(
        person=row.person, planned_start__date__lte=row.last_day, planned_end__date__gte=row.first_day
    )


def tell_touched(request: HttpRequest, rows: Any) -> None:
    """Say which booked jobs a change touches; the new plan then says which promises it breaks."""
    numbers = touched_bookings(rows)
    if not numbers:
        messages.success(request, _("Saved. No booked job is touched. The plan is made anew."))
        return
    text = ngettext(
        "Saved. It touches one booked job: %(jobs)s. The plan is made anew; what it cannot keep is listed.",
        "Saved. It touches %(n)d booked jobs: %(jobs)s. "
        "The plan is made anew; what it cannot keep is listed.",
        len(numbers),
    )
    more = "…" if len(numbers) > 12 else ""
    messages.warning(request, text % {"n": len(numbers), "jobs": ", ".join(numbers[:12]) + more})


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def person(request: HttpRequest, person_id: int) -> HttpResponse:
    """Change somebody: name, account, skills, whether they work here."""
    row = get_object_or_404(Person, pk=person_id)
    form = PersonForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        form.save()
        ask_for_plan()
        messages.success(request, _("Saved. The plan is made anew."))
        return redirect("shop:people")
    status = 422 if form.errors else 200
    return render(request, "shop/planning/person.html", {"person": row, "form": form}, status=status)


@staff(MANAGER)
@require_POST
def remove(request: HttpRequest, kind: str, row_id: int) -> HttpResponse:
    """Take an absence or hours away."""
    models: dict[str, Any] = {"absence": Absence, "person_hours": PersonHours}
    if kind not in models:
        raise Http404("There is no such list.")
    if row := models[kind].objects.filter(pk=row_id).first():
        row.delete()
        ask_for_plan()
        messages.success(request, _("Removed. The plan is made anew."))
    else:
        messages.info(request, _("It was removed before."))
    return redirect("shop:people")


@staff()
@require_safe
def mine(request: HttpRequest) -> HttpResponse:
    """One's own list for today and the days after, in time order; prints whole."""
    me = Person.objects.filter(user=request.user.pk, is_active=True).first()
    today = timezone.localdate()
    days = [today + timedelta(days=number) for number in range(7)]
    found = [row for person, row in days_of_people(request.user, days) if me and person == me]
    context = {"me": me, "days": [day for day in (found[0] if found else []) if day.steps or day.away]}
    return render(request, "shop/planning/mine.html", context)
