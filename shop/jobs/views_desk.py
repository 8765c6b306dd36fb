"""Notes of calls, a yes by telephone, and contact put right: what staff do by hand for a customer."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from configurator.builds.service import Contact

from . import desk
from .access import job_or_404, staff
from .errors import JobError, UnmetError
from .forms_desk import CorrectForm, NoteForm, TelephoneYesForm
from .models import Job
from .states import MANAGER, REVIEWER, State
from .views import job_context


def _show(request: HttpRequest, job: Job, status: int = 200, **bound: Any) -> HttpResponse:
    """Show the page, each form as it was typed or empty."""
    context: dict[str, Any] = {
        **job_context(request, job),
        "here": _("Notes"),
        "notes": job.history.filter(action__in=desk.NOTES.values()).select_related("user").order_by("-pk"),
        "note": NoteForm(prefix="note"),
        "yes": TelephoneYesForm(
            prefix="yes",
            initial={"version": job.version, "revision": job.revision_id, "said_by": job.revision.name},
        ),
        "may_agree": _may_agree(job),
        "contact": CorrectForm.of(job.revision, job.version, "contact"),
        "corrections": job.history.filter(action=desk.CORRECTED).order_by("-pk"),
    }
    return render(request, "shop/jobs/desk.html", context | bound, status=status)


def _may_agree(job: Job) -> bool:
    offered = job.state == State.WAITING and job.workshop_agreed_revision_id == job.revision_id
    missing = job.customer_agreed_revision_id != job.revision_id
    return job.state in (State.IN_REVIEW, State.WAITING) and (missing or offered)


def _refused(form: forms.Form, error: JobError) -> int:
    field = error.field if isinstance(error, UnmetError) else ""
    form.add_error(field if field in form.fields else None, str(error))
    return error.status


@staff()
@require_safe
def notes(request: HttpRequest, number: str) -> HttpResponse:
    """Show the notes of a job and what can be done by hand."""
    return _show(request, job_or_404(request, number))


@staff()
@require_POST
def add_note(request: HttpRequest, number: str) -> HttpResponse:
    """Keep a note."""
    job = job_or_404(request, number)
    form = NoteForm(request.POST, prefix="note")
    if not form.is_valid():
        return _show(request, job, 422, note=form)
    try:
        desk.add_note(job_id=job.pk, by=request.user, **form.cleaned_data)  # type: ignore[arg-type]
    except JobError as error:
        return _show(request, job, _refused(form, error), note=form)
    messages.success(request, _("The note is kept."))
    return redirect("shop:job_notes", number)


@staff(REVIEWER, MANAGER)
@require_POST
def telephone_yes(request: HttpRequest, number: str) -> HttpResponse:
    """Record the customer's yes as given by telephone."""
    job = job_or_404(request, number)
    form = TelephoneYesForm(request.POST, prefix="yes")
    if not form.is_valid():
        return _show(request, job, 422, yes=form)
    data = form.cleaned_data
    try:
        did = desk.agree_by_telephone(
            job_id=job.pk,
            revision_id=data["revision"],
            by=request.user,  # type: ignore[arg-type]
            said_by=data["said_by"],
            why=data["why"],
            version=data["version"],
        )
    except JobError as error:
        job.refresh_from_db()
        return _show(request, job, _refused(form, error), yes=form, may_agree=True)
    job.refresh_from_db()
    said = {"number": job.number, "state": job.get_state_display()}
    if did:
        messages.success(request, _("The yes is recorded. %(number)s is now “%(state)s”.") % said)
    else:
        messages.info(request, _("The customer has said yes to this revision already."))
    return redirect("shop:job", number)


@staff(REVIEWER, MANAGER)
@require_POST
def correct(request: HttpRequest, number: str) -> HttpResponse:
    """Put the customer's contact right."""
    job = job_or_404(request, number)
    form = CorrectForm(request.POST, prefix="contact")
    if not form.is_valid():
        return _show(request, job, 422, contact=form)
    data = form.cleaned_data
    try:
        done = desk.correct_contact(
            job_id=job.pk,
            contact=Contact(**{name: data[name] for name in desk.CONTACT}),
            by=request.user,  # type: ignore[arg-type]
            why=data["why"],
            address_was_wrong=data["address_was_wrong"],
            version=data["version"],
        )
    except JobError as error:
        job.refresh_from_db()
        return _show(request, job, _refused(form, error), contact=form)
    if done is None:
        messages.info(request, _("Nothing was changed."))
    else:
        messages.success(request, _("The contact is corrected."))
    return redirect("shop:job_notes", number)
