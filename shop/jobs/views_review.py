"""The reviewer's page: everything the customer chose beside everything the catalogue says."""

from __future__ import annotations

from collections import defaultdict

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_POST, require_safe

from configurator.builds.evaluation import Evaluation, PartLine
from configurator.builds.sentences import say
from configurator.models import Photo
from configurator.pages.told import signed, told, verdict_word
from configurator.pages.told_codes import name_of_check
from configurator.pictures.giving import give

from .access import job_or_404, staff, visible_jobs
from .difference import Difference, differences
from .errors import JobError, UnmetError
from .evaluations import evaluation_of
from .forms import MeasureForm
from .measuring import measure
from .models import Job, Measurement
from .settled import ToMeasure, to_measure
from .signals import answers, possible_dates
from .states import MANAGER, REVIEWER, TECHNICIAN, State
from .views import job_context

OPEN_TO_DECIDE = frozenset({State.SENT, State.IN_REVIEW, State.WAITING})


def review_context(request: HttpRequest, found: Job, bound: MeasureForm | None = None) -> dict[str, object]:
    """Return what the review page shows; ``bound`` is a measure form with something wrong in it."""
    context = job_context(request, found)
    evaluation: Evaluation = context["evaluation"]
    return context | {
        "fits": [(fit, context["standing"].axles[place]) for place, fit in evaluation.fits.items()],
        "photos": found.spec.photos.all(),
        "revisions": found.spec.revisions.all(),
        "measures": [(each, _form(each, bound)) for each in to_measure(found, evaluation)],
        "parts_by_supplier": _by_supplier(evaluation),
    }


def _form(each: ToMeasure, bound: MeasureForm | None) -> MeasureForm:
    if bound is not None and bound.data.get("key") == each.key:
        bound.name_unit(each.row.unit, each.asks_for_margin)
        return bound
    form = MeasureForm(initial={"key": each.key, "uncertainty": 0.5}, auto_id=f"id_{each.key}_%s")
    form.name_unit(each.row.unit, each.asks_for_margin)
    if each.done:
        form.initial.update({"value": each.done.value, "uncertainty": each.done.uncertainty})
    return form


def _by_supplier(evaluation: Evaluation) -> dict[str, list[PartLine]]:
    found: dict[str, list[PartLine]] = defaultdict(list)
    for line in evaluation.parts:
        found[line.supplier_name].append(line)
    return dict(found)


@staff(REVIEWER, MANAGER)
@require_safe
def review(request: HttpRequest, number: str) -> HttpResponse:
    """Show the whole spec with every verdict."""
    found = job_or_404(request, number)
    context = review_context(request, found)
    if found.state in OPEN_TO_DECIDE:
        context["estimate"] = next(iter(answers(possible_dates, found)), None)
    return render(request, "shop/jobs/review.html", context)


@staff(REVIEWER, TECHNICIAN, MANAGER)
@require_POST
def measured(request: HttpRequest, number: str) -> HttpResponse:
    """Store one measured value; the verdict is worked out anew."""
    found = job_or_404(request, number)
    key = str(request.POST.get("key", ""))
    form, status = MeasureForm(request.POST, auto_id=f"id_{key.replace('%', '%%')}_%s"), 422
    if form.is_valid():
        axle, _dash, check_id = key.partition("-")
        values = {name: form.cleaned_data[name] for name in ("value", "uncertainty", "note", "sure")}
        try:
            done = measure(job_id=found.pk, axle=axle, check_id=check_id, by=request.user, **values)  # type: ignore[arg-type]
        except UnmetError as error:
            form.add_error(error.field or None, str(error))
        except JobError as error:
            form.add_error(None, str(error))
            status = error.status
        else:
            messages.success(request, _was_measured(done))
            back = "shop:bench" if request.POST.get("next") == "bench" else "shop:review"
            return redirect(reverse(back, args=[number]) + "#measure")
    # Whoever came from the checklist goes back there: the review is not for everybody who measures.
    context = review_context(request, found, form) | {
        "form": form,
        "next": "bench" if request.POST.get("next") == "bench" else "review",
    }
    if all(shown is not form for _each, shown in context["measures"]):  # type: ignore[attr-defined]
        # The check is none of this job's, or none any more: there is no form to stand in.
        unknown = _("It was not said which check was measured. Choose it below.")
        context["refusal"] = " ".join(map(str, form.non_field_errors())) or unknown
        context["refused_text"] = str(request.POST.get("note", ""))
    return render(request, "shop/jobs/measure_page.html", context, status=status)


def _was_measured(done: Measurement) -> str:
    """Say what a value that was just measured comes to."""
    return _("Measured: %(check)s, %(axle)s: %(verdict)s, margin %(margin)s %(unit)s.") % {
        "check": name_of_check(done.check_id),
        "axle": told(say(done.axle)),
        "verdict": verdict_word(done.verdict),
        "margin": signed(done.margin),
        "unit": done.unit,
    }


@staff(REVIEWER, MANAGER)
@require_safe
def difference(request: HttpRequest, number: str, before: int, after: int) -> HttpResponse:
    """Show what differs between two revisions of the job's spec."""
    found = job_or_404(request, number)
    revisions = {each.number: each for each in found.spec.revisions.all()}
    if before not in revisions or after not in revisions:
        raise Http404(_("There is no such revision."))
    rows = differences(evaluation_of(revisions[before]), evaluation_of(revisions[after]))
    areas: dict[str, list[Difference]] = defaultdict(list)
    for row in rows:
        areas[row.area].append(row)
    context = {"job": found, "before": revisions[before], "after": revisions[after], "areas": dict(areas)}
    return render(request, "shop/jobs/difference.html", context | {"revisions": list(revisions.values())})


@staff()
@require_safe
@cache_control(private=True, max_age=3600)
def photo(request: HttpRequest, number: str, token: str, size: str) -> FileResponse:
    """Return a customer's cleaned photo to staff who see the job."""
    row = get_object_or_404(
        Photo, token=token, spec__job__in=visible_jobs(request.user).filter(number=number)
    )
    if row.state != Photo.State.READY:
        raise Http404("The photo is not ready.")
    return give(row.thumbnail if size == "small" else row.image)
