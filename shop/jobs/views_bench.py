"""The checklist on a phone in the bay."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_POST, require_safe

from configurator.pictures.giving import give

from . import bench
from .access import job_or_404, staff, works_on_vehicles
from .bookin import is_booked_in
from .errors import JobError, UnmetError
from .evaluations import copied, evaluation_of
from .forms_bench import StepForm
from .models import Job, JobOperation
from .models_lines import Proposal
from .refusing import out_of_place
from .roles import roles_of
from .states import State
from .views import job_context
from .views_review import review_context


@dataclass
class Line:
    """One step as the checklist shows it."""

    step: JobOperation
    early: list[str]
    band: bench.Band | None
    form: StepForm


def lines(found: Job, bound: StepForm | None = None, bound_id: int = 0) -> list[Line]:
    """Return the job's steps with what should come before each."""
    steps = list(found.operations.select_related("done_by", "bay"))
    by_key, now = {step.key: step for step in steps}, timezone.now()
    on_record = is_booked_in(found)
    return [
        Line(
            step,
            []
            if step.done_at
            else [*bench.not_booked_in(step, on_record=on_record), *bench.out_of_order(step, by_key, now)],
            bench.band(step.torque_nm) if step.torque_nm else None,
            bound
            if bound is not None and step.pk == bound_id
            else StepForm(step=step, auto_id=f"id_{step.pk}_%s"),
        )
        for step in steps
    ]


@staff()
@require_safe
def checklist(request: HttpRequest, number: str) -> HttpResponse:
    """Show the steps stage by stage."""
    return _show(request, job_or_404(request, number))


def _show(
    request: HttpRequest,
    found: Job,
    bound: StepForm | None = None,
    bound_id: int = 0,
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    listed = lines(found, bound, bound_id)
    stages = [(stage, list(group)) for stage, group in groupby(listed, key=lambda line: line.step.stage)]
    works = found.state == State.IN_THE_BAY and bool(roles_of(request.user) & bench.AT_THE_BENCH)
    following = next((line.step.pk for line in listed if not line.step.done_at and not line.early), 0)
    build = evaluation_of(found.revision)
    context = job_context(request, found) | {
        "stages": stages,
        "works": works,
        "asked": found.proposals.filter(state=Proposal.State.OPEN),
        "open_id": bound_id or following,
        "sees_vehicle": works_on_vehicles(request.user),
        "done": sum(bool(line.step.done_at) for line in listed),
        "total": len(listed),
        "measures": review_context(request, found)["measures"] if works else [],
        "cautions": (*build.bench_cautions, *build.cautions),
    }
    return render(request, "shop/jobs/bench.html", context | more, status=status)


@staff()
@require_POST
def step(request: HttpRequest, number: str, step_id: int) -> HttpResponse:
    """Tick a step, leave it out or open it again."""
    found = job_or_404(request, number)
    row = found.operations.filter(pk=step_id).first()
    if row is None:
        return _gone(request, found, step_id)
    form = StepForm(request.POST, request.FILES, step=row, auto_id=f"id_{step_id}_%s")
    if not form.is_valid():
        return _show(request, found, form, step_id, 422)
    try:
        did = _do(found, step_id, request, form)
    except UnmetError as error:
        field = "readings" if error.field.startswith("reading-") and not form.count else error.field
        form.add_error(field if field in form.fields else None, str(error))
        return _show(request, found, form, step_id, 422)
    except JobError as error:
        return _late(request, found, error, error.status)
    if not did:
        row.refresh_from_db()
        if said := _otherwise(request, found, row, form):
            return _late(request, found, Exception(said))
        messages.info(request, _("“%(step)s” was already so.") % {"step": copied(found, row.name)})
    return redirect(reverse("shop:bench", args=[number]) + f"#step-{step_id}")


def _gone(request: HttpRequest, found: Job, step_id: int) -> HttpResponse:
    """Say that a change took the step off the list; one of another job is not found."""
    if JobOperation.objects.filter(pk=step_id).exists():
        raise Http404
    return _late(request, found, Exception(_("The job no longer has this step. Look at the list again.")))


def _late(request: HttpRequest, found: Job, why: Exception, status: int = 409) -> HttpResponse:
    """Show the list as it is by now, with why nothing was done and what had been entered."""
    found.refresh_from_db()
    entered = [str(value) for name, value in request.POST.items() if name.startswith("reading") and value]
    typed = (" · ".join(entered), request.POST.get("reason", ""), request.POST.get("note", ""))
    return _show(request, found, status=status, **out_of_place(why, *map(str, typed)))


def _otherwise(request: HttpRequest, found: Job, row: JobOperation, form: StepForm) -> str:
    """Say what a colleague made of the step meanwhile; nothing where it is what was asked for."""
    data, step = form.cleaned_data, copied(found, row.name)
    by = row.done_by.get_full_name() or row.done_by.get_username() if row.done_by else ""
    if data["do"] == "tick" and row.is_skipped:
        return _("“%(step)s” has been left out (%(by)s). Open it again first.") % {"step": step, "by": by}
    if data["do"] == "skip" and not row.is_skipped:
        return _("“%(step)s” has been done (%(by)s). Open it again first.") % {"step": step, "by": by}
    entered = (list(form.torques()), data["note"].strip(), bool(form.photo_bytes()))
    kept = (row.torque_readings, row.note, bool(entered[2] and row.photo))
    if data["do"] == "tick" and any(entered) and entered != kept:
        return _(
            "“%(step)s” was ticked before (%(by)s); what you entered was not kept. Open it again to enter it."
        ) % {"step": step, "by": by}
    return ""


def _do(found: Job, step_id: int, request: HttpRequest, form: StepForm) -> bool:
    data = form.cleaned_data
    common: dict[str, Any] = {
        "job_id": found.pk,
        "step_id": step_id,
        "by": request.user,
        "reason": data["reason"],
    }
    if data["do"] == "skip":
        return bench.skip(**common)
    if data["do"] == "undo":
        return bench.undo(**common)
    return bench.tick(
        **common,
        note=data["note"],
        readings=form.torques(),
        photo=form.photo_bytes(),
        photo_for_customer=data["photo_for_customer"],
    )


@staff()
@require_safe
@cache_control(private=True, max_age=3600)
def step_photo(request: HttpRequest, number: str, step_id: int) -> FileResponse:
    """Return the photo taken at a step."""
    row = get_object_or_404(job_or_404(request, number).operations, pk=step_id)
    return give(row.photo)
