"""A job's free lines and changes: what is part of it, what waits for the customer, what is proposed anew."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.pictures.giving import give

from . import answering, changes
from .access import job_or_404, sees_customer, staff
from .composing import in_force
from .difference import offer
from .entering import change_lines
from .errors import JobError, beside
from .evaluations import evaluation_of
from .forms_lines import LineFormSet, ProposeForm, SaidForm, WithdrawForm
from .models import Job
from .models_lines import Proposal
from .refusing import out_of_place
from .states import AMENDABLE, MANAGER, REVIEWER, TECHNICIAN
from .views import job_context
from .views_entry import refuse
from .written import written_of


def _may_change(job: Job) -> bool:
    return job.state in changes.CHANGEABLE or job.state in AMENDABLE


@staff(REVIEWER, TECHNICIAN, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, number: str) -> HttpResponse:
    """Show lines and changes; take a new line, or propose one."""
    job = job_or_404(request, number)
    bound = request.method == "POST"
    form = ProposeForm(
        request.POST if bound else None,
        request.FILES if bound else None,
        lines=in_force(job),
        initial={"version": job.version},
    )
    lines = LineFormSet(request.POST if bound else None, prefix="line")
    if not bound:
        return show(request, job, form, lines)
    if not form.is_valid() or not lines.is_valid():
        return show(request, job, form, lines, 422)
    try:
        _take(request, job, form, lines)
    except JobError as error:
        refuse(form, lines, error)
        job.refresh_from_db()
        gone = {} if _may_change(job) else out_of_place(error, form.cleaned_data["why"], *_labels(lines))
        return show(request, job, form, lines, error.status, **gone)
    return redirect("shop:changes", number)


def _labels(lines: Any) -> list[str]:
    return [str(row["label"]) for row in lines.rows()]


def _take(request: HttpRequest, job: Job, form: ProposeForm, lines: Any) -> None:
    generation = str(job.revision.selection.get("generation", ""))
    add = tuple(written_of(row, generation) for row in lines.rows())
    data = form.cleaned_data
    if job.state in AMENDABLE:
        done = change_lines(
            job_id=job.pk,
            add=add,
            drop=form.dropped(),
            by=request.user,  # type: ignore[arg-type]
            why=data["why"],
            version=data["version"],
        )
        messages.info(request, _("A new revision is made.") if done else _("Nothing was changed."))
        return
    changes.propose(
        job_id=job.pk,
        wanted=changes.Wanted(add=add, drop=form.dropped()),
        why=data["why"],
        by=request.user,  # type: ignore[arg-type]
        press=data["press"],
        photo=form.photo_bytes(),
        tell=data["tell"],
        version=data["version"],
    )
    messages.success(request, _("It is proposed. Nothing of it is done before the customer says yes."))


def show(
    request: HttpRequest, job: Job, form: Any = None, lines: Any = None, status: int = 200, **bound: Any
) -> HttpResponse:
    """Show the page, each form as it was typed or empty."""
    now = evaluation_of(job.revision)
    proposals = list(job.proposals.select_related("by", "answered_by").order_by("-number"))
    waiting = [each for each in proposals if each.state == Proposal.State.OPEN]
    for each in waiting:
        each.job = job
    context = job_context(request, job) | {
        "here": _("Lines and changes"),
        "form": form or ProposeForm(lines=in_force(job), initial={"version": job.version}),
        "lines": lines or LineFormSet(prefix="line"),
        "own_lines": in_force(job),
        "waiting": [(each, offer(now, changes.offer_of(each))) for each in waiting],
        "answered": [each for each in proposals if each.state != Proposal.State.OPEN],
        "said": SaidForm(initial={"said_by": job.revision.name}),
        "withdraw": WithdrawForm(),
        "may_change": _may_change(job),
        "in_review": job.state in AMENDABLE,
        "may_answer": sees_customer(request.user),
    }
    return render(request, "shop/jobs/changes.html", context | bound, status=status)


def _proposal(request: HttpRequest, number: str, which: int) -> Proposal:
    job = job_or_404(request, number)
    found = get_object_or_404(job.proposals, number=which)
    found.job = job
    return found


def _late(
    request: HttpRequest, proposal: Proposal, error: JobError, typed: str, **bound: Any
) -> HttpResponse:
    """Show the page again; what was typed stands in its form, or above when its form is gone by now."""
    proposal.refresh_from_db(fields=["state"])
    if proposal.state != Proposal.State.OPEN:
        bound = {"refusal": str(error), "refused_text": typed}
    return show(request, proposal.job, status=error.status, **bound)


@staff(REVIEWER, MANAGER)
@require_POST
def said(request: HttpRequest, number: str, which: int) -> HttpResponse:
    """Record the customer's answer as given by telephone."""
    proposal = _proposal(request, number, which)
    form = SaidForm(request.POST)
    if not form.is_valid():
        return show(request, proposal.job, status=422, said=form)
    data = form.cleaned_data
    common: dict[str, Any] = {"proposal_id": proposal.pk, "by": request.user, "said_by": data["said_by"]}
    try:
        if data["answer"] == "yes":
            did = answering.agree(**common, words=data["words"])
        else:
            did = answering.refuse(**common, words=data["words"])
    except JobError as error:
        beside(form, error)
        return _late(request, proposal, error, data["words"], said=form)
    if did:
        messages.success(request, _("The answer is recorded."))
    else:
        messages.info(request, _("It had been answered so before; nothing was recorded twice."))
    return redirect("shop:changes", number)


@staff(REVIEWER, TECHNICIAN, MANAGER)
@require_POST
def withdraw(request: HttpRequest, number: str, which: int) -> HttpResponse:
    """Take a proposal back."""
    proposal = _proposal(request, number, which)
    form = WithdrawForm(request.POST)
    if not form.is_valid():
        return show(request, proposal.job, status=422, withdraw=form)
    try:
        answering.withdraw(proposal_id=proposal.pk, by=request.user, why=form.cleaned_data["why"])  # type: ignore[arg-type]
    except JobError as error:
        form.add_error(None, str(error))
        return _late(request, proposal, error, form.cleaned_data["why"], withdraw=form)
    messages.success(request, _("The proposal is taken back."))
    return redirect("shop:changes", number)


@staff()
@require_safe
@cache_control(private=True, max_age=3600)
def photo(request: HttpRequest, number: str, which: int) -> FileResponse:
    """Return the photo of what was found."""
    proposal = _proposal(request, number, which)
    return give(proposal.photo)
