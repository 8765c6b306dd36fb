"""Entering a job at the desk or by telephone, and a visit that follows from a job that is handed over."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from configurator.builds.sending import Contact

from .access import job_or_404, staff
from .entering import NewJob, enter_job
from .errors import JobError, UnmetError, beside
from .followups import follow_up
from .forms_lines import EntryForm, FollowForm, LineFormSet
from .models import Job
from .signals import customer_asked
from .states import MANAGER, REVIEWER, State
from .views import job_context
from .written import written_of

CONTACT = ("name", "email", "phone", "registration", "vin", "notes")


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def new_job(request: HttpRequest) -> HttpResponse:
    """Take a job in at the desk."""
    bound = request.method == "POST"
    form = EntryForm(
        request.POST if bound else None,
        initial={"tell": True, "language": request.LANGUAGE_CODE} | _known(request.GET.get("customer", "")),
    )
    lines = LineFormSet(request.POST if bound else None, prefix="line")
    if not bound:
        return _show(request, form, lines, 200)
    if not form.is_valid() or not lines.is_valid():
        return _show(request, form, lines, 422)
    try:
        made = enter_job(new=_new(form, lines), by=request.user, press=form.cleaned_data["press"])  # type: ignore[arg-type]
    except JobError as error:
        refuse(form, lines, error)
        return _show(request, form, lines, error.status)
    messages.success(
        request, _("%(number)s is entered. Confirm it, or change it first.") % {"number": made.number}
    )
    return redirect("shop:job", made.number)


def _known(key: str) -> dict[str, str]:
    """Return the contact of the customer whose record the job begins from, if it is one."""
    for _receiver, answer in customer_asked.send(Job, key=key) if key else []:
        if isinstance(answer, dict):
            return answer
    return {}


def _new(form: EntryForm, lines: Any) -> NewJob:
    data = form.cleaned_data
    return NewJob(
        contact=Contact(**{name: data[name] for name in CONTACT}),
        lines=tuple(written_of(row, data["generation"]) for row in lines.rows()),
        vehicle=data["vehicle"],
        generation=data["generation"],
        language=data["language"],
        deposit=data["deposit"],
        customer_asked=data["customer_asked"],
        tell=data["tell"],
    )


def refuse(form: Any, lines: Any, error: JobError) -> None:
    """Show a refusal beside its field: of the form, or of the first line."""
    field = error.field if isinstance(error, UnmetError) else ""
    if field in form.fields:
        form.add_error(field, str(error))
    elif field and lines.forms and field in lines.forms[0].fields:
        wrong = next((each for each in lines.forms if each.has_changed()), lines.forms[0])
        wrong.full_clean()
        wrong.add_error(field, str(error))
    else:
        beside(form, error)


def _show(request: HttpRequest, form: EntryForm, lines: Any, status: int) -> HttpResponse:
    return render(request, "shop/jobs/entry.html", {"form": form, "lines": lines}, status=status)


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def follow(request: HttpRequest, number: str) -> HttpResponse:
    """Take a warranty visit or a complaint in."""
    first = job_or_404(request, number)
    if first.state != State.HANDED_OVER:
        messages.error(request, _("A visit follows from a job that is handed over."))
        return redirect("shop:job", number)
    bound = request.method == "POST"
    form = FollowForm(request.POST if bound else None, initial={"tell": True})
    lines = LineFormSet(request.POST if bound else None, prefix="line")
    if not bound:
        return _follow_page(request, first, form, lines, 200)
    if not form.is_valid() or not lines.is_valid():
        return _follow_page(request, first, form, lines, 422)
    generation = str(first.revision.selection.get("generation", ""))
    try:
        made = follow_up(
            job_id=first.pk,
            kind=form.cleaned_data["kind"],
            notes=form.cleaned_data["notes"],
            lines=tuple(written_of(free_of_charge(row), generation) for row in lines.rows()),
            by=request.user,  # type: ignore[arg-type]
            press=form.cleaned_data["press"],
            tell=form.cleaned_data["tell"],
        )
    except JobError as error:
        refuse(form, lines, error)
        return _follow_page(request, first, form, lines, error.status)
    messages.success(request, _("%(number)s is entered.") % {"number": made.number})
    return redirect("shop:job", made.number)


def free_of_charge(row: dict[str, Any]) -> dict[str, Any]:
    """A line of such a visit costs what is written, and nothing where nothing is."""
    return row if row.get("amount") is not None else row | {"amount": 0}


def _follow_page(request: HttpRequest, first: Job, form: FollowForm, lines: Any, status: int) -> HttpResponse:
    context = job_context(request, first) | {"form": form, "lines": lines, "here": _("Visit")}
    return render(request, "shop/jobs/follow.html", context, status=status)
