"""A job's dates: what is free, what will be told, fixing, moving, taking back, answering proposals."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.jobs.access import job_or_404, staff
from shop.jobs.errors import JobError, UnmetError, beside
from shop.jobs.models import Job
from shop.jobs.states import MANAGER, REVIEWER, State
from shop.jobs.views import job_context

from .booking import TO_BOOK, fix_dates, keep_planned, say_no, take_back
from .dates import first_day_offered, free_dates, on_day
from .forms import DatesForm, WhyForm
from .models import BrokenPromise
from .promises import open_promises, stand_by


def _context(request: HttpRequest, job: Job, **more: Any) -> dict[str, Any]:
    now = timezone.now()
    wish = job.date_wishes.filter(answer="").first()
    wished = [date.fromisoformat(day) for day in wish.days] if wish else []
    may_fix = job.state in TO_BOOK
    return {
        **job_context(request, job),
        "here": _("Dates"),
        "free": free_dates(job, now) if may_fix else [],
        "may_fix": may_fix,
        "wish": wish,
        "wished": [(day, on_day(job, now, day) if may_fix else None) for day in wished],
        "broken": job.broken_promises.filter(settled="").first(),
        "settled": job.broken_promises.exclude(settled="").order_by("-settled_at")[:5],
        "first_offered": first_day_offered(now),
        "form": DatesForm(initial={"version": job.version}, prefix="date"),
        "back": WhyForm(initial={"version": job.version}, prefix="back"),
        "no": WhyForm(prefix="no"),
        "stand": WhyForm(prefix="stand"),
    } | more


@staff(REVIEWER, MANAGER)
@require_safe
def dates(request: HttpRequest, number: str) -> HttpResponse:
    """Show the job's dates and what is free; ``?day=`` shows what exactly fixing that day means."""
    job = job_or_404(request, number)
    more: dict[str, Any] = {}
    form = DatesForm({"date-day": request.GET["day"]}, prefix="date") if request.GET.get("day") else None
    status = 200
    if form is not None:
        more["form"] = form
        if form.is_valid():
            found = on_day(job, timezone.now(), form.cleaned_data["day"]) if job.state in TO_BOOK else None
            more["seen"] = found[2] if found else None
            more["form"] = DatesForm(
                initial={"day": form.cleaned_data["day"], "version": job.version}, prefix="date"
            )
            if not found:
                more["no_room"] = form.cleaned_data["day"]
        else:
            status = 422
    return render(request, "shop/planning/dates.html", _context(request, job, **more), status=status)


@staff(REVIEWER, MANAGER)
@require_POST
def fix(request: HttpRequest, number: str) -> HttpResponse:
    """Fix the chosen day."""
    job = job_or_404(request, number)
    form = DatesForm(request.POST, prefix="date")
    if form.is_valid():
        try:
            done = fix_dates(
                job_id=job.pk,
                day=form.cleaned_data["day"],
                by=request.user,  # type: ignore[arg-type]
                tell=form.cleaned_data["tell"],
                version=form.cleaned_data["version"],
                short_notice=form.cleaned_data["short_notice"],
            )
        except UnmetError as error:
            beside(form, error)
        except JobError as error:
            # The day that was chosen is looked at anew, as the job is by now.
            messages.error(request, str(error))
            day = form.cleaned_data["day"].isoformat()
            return redirect(reverse("shop:job_dates", args=[number]) + f"?day={day}#see")
        else:
            job.refresh_from_db()
            _tell_fixed(request, job, done, form.cleaned_data["tell"])
            return redirect("shop:job_dates", number)
    return render(request, "shop/planning/dates.html", _context(request, job, form=form), status=422)


def _tell_fixed(request: HttpRequest, job: Job, done: bool, told: bool) -> None:
    if not done:
        messages.info(request, _("These dates were fixed already."))
        return
    day = date_format(timezone.localtime(job.booked_start), "D j M, H:i") if job.booked_start else ""
    if told:
        messages.success(request, _("Fixed: %(day)s. The customer is mailed.") % {"day": day})
    else:
        messages.success(request, _("Fixed: %(day)s. The customer was not told.") % {"day": day})


@staff(REVIEWER, MANAGER)
@require_http_methods(["POST"])
def back(request: HttpRequest, number: str) -> HttpResponse:
    """Take the dates back."""
    job = job_or_404(request, number)
    form = WhyForm(request.POST, prefix="back")
    if form.is_valid():
        try:
            take_back(
                job_id=job.pk,
                by=request.user,  # type: ignore[arg-type]
                why=form.cleaned_data["why"],
                tell=form.cleaned_data["tell"],
                version=form.cleaned_data["version"],
            )
        except JobError as error:
            beside(form, error)
            job.refresh_from_db()
            if job.state != State.BOOKED:
                return _too_late(request, job, str(error), form)
            return _refused(request, job, error.status, back=form)
        messages.success(request, _("The dates are taken back. The job waits for a day."))
        return redirect("shop:job_dates", number)
    return _refused(request, job, back=form)


def _refused(request: HttpRequest, job: Job, status: int = 422, **bound: WhyForm) -> HttpResponse:
    """Show the page again with what was typed and what is wrong with it."""
    return render(request, "shop/planning/dates.html", _context(request, job, **bound), status=status)


def _too_late(request: HttpRequest, job: Job, why: str, form: WhyForm) -> HttpResponse:
    """Say why there is nothing to do any more; the form is gone from the page, its words stand above."""
    more = {"refusal": why, "refused_text": str(form.data.get(f"{form.prefix}-why", ""))}
    return render(request, "shop/planning/dates.html", _context(request, job, **more), status=409)


@staff(REVIEWER, MANAGER)
@require_POST
def keep(request: HttpRequest, number: str) -> HttpResponse:
    """Make the plan's new dates the fixed ones."""
    job = job_or_404(request, number)
    told = request.POST.get("tell") == "on"
    try:
        done = keep_planned(job_id=job.pk, by=request.user, tell=told, seen=request.POST.get("seen"))  # type: ignore[arg-type]
    except JobError as error:
        messages.error(request, str(error))
    else:
        job.refresh_from_db()
        if done:
            _tell_fixed(request, job, done, told)
        else:
            messages.info(request, _("There is nothing to decide any more: see below how the dates are."))
    return redirect("shop:job_dates", number)


@staff(REVIEWER, MANAGER)
@require_POST
def stand(request: HttpRequest, number: str) -> HttpResponse:
    """Keep the promise all the same."""
    job = job_or_404(request, number)
    form = WhyForm(request.POST, prefix="stand")
    row = BrokenPromise.objects.filter(job=job, settled="").first()
    if row is None:
        return _too_late(request, job, _no_longer_broken(job), form)

    def deed(why: str, seen: str | None) -> object:
        return stand_by(promise_id=row.pk, by=request.user, note=why, seen=seen)  # type: ignore[arg-type]

    return _with_reason(request, job, form, deed, _("Noted: the date is kept all the same."))


def _no_longer_broken(job: Job) -> str:
    """Say why there is nothing to decide: the plan keeps the dates again, or a colleague has decided."""
    last = job.broken_promises.exclude(settled="").order_by("settled_at").last()
    if last is None or last.settled == BrokenPromise.Settled.HOLDS:
        return _("The dates hold; there was nothing to decide.")
    return _("It has been decided since: “%(how)s”.") % {"how": last.get_settled_display()}


@staff(REVIEWER, MANAGER)
@require_POST
def no(request: HttpRequest, number: str) -> HttpResponse:
    """Say that none of the proposed days is possible."""
    job = job_or_404(request, number)
    wish = job.date_wishes.filter(answer="").first()
    form = WhyForm(request.POST, prefix="no")
    if wish is None:
        return _too_late(request, job, _("No days that the customer proposed wait for an answer."), form)

    def deed(why: str, seen: str | None) -> object:
        return say_no(wish_id=wish.pk, by=request.user, why=why, seen=seen)  # type: ignore[arg-type]

    told = _("Answered. The customer is mailed and may propose other days.")
    return _with_reason(request, job, form, deed, told)


def _with_reason(
    request: HttpRequest, job: Job, form: WhyForm, deed: Callable[[str, str | None], object], told: str
) -> HttpResponse:
    """Do it for the reason given and tell so; a refusal stands beside the reason, and the reason stays."""
    if not form.is_valid():
        return _refused(request, job, 422, **{str(form.prefix): form})
    try:
        deed(form.cleaned_data["why"], request.POST.get("seen"))
    except JobError as error:
        form.add_error("why", str(error))
        return _refused(request, job, error.status, **{str(form.prefix): form})
    messages.success(request, told)
    return redirect("shop:job_dates", job.number)


@staff(REVIEWER, MANAGER)
@require_safe
def promises(request: HttpRequest) -> HttpResponse:
    """List every fixed date that the plan no longer keeps, with what can be done."""
    return render(request, "shop/planning/promises.html", {"promises": open_promises()})
