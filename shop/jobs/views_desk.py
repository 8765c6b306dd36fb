"""Notes of calls, a yes by telephone, and contact put right: what staff do by hand for a customer."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from configurator.builds.sending import Contact

from . import desk
from .access import job_or_404, staff
from .errors import JobError, beside
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


def _done(
    request: HttpRequest, job: Job, name: str, form: forms.Form, deed: Callable[[dict[str, Any]], object]
) -> tuple[Any, HttpResponse | None]:
    """Do what a form asks for; give what came of it, or the page again with what is wrong at its field."""
    if not form.is_valid():
        return None, _show(request, job, 422, **{name: form})
    try:
        done = deed(form.cleaned_data)
    except JobError as error:
        beside(form, error)
        job.refresh_from_db()
        # Whoever was late still sees what they typed.
        more = {"may_agree": True} if name == "yes" else {}
        return None, _show(request, job, error.status, **{name: form}, **more)
    job.refresh_from_db()
    return done, None


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

    def keep(data: dict[str, Any]) -> object:
        return desk.add_note(job_id=job.pk, by=request.user, **data)  # type: ignore[arg-type]

    _kept, refused = _done(request, job, "note", form, keep)
    if refused:
        return refused
    messages.success(request, _("The note is kept."))
    return redirect("shop:job_notes", number)


@staff(REVIEWER, MANAGER)
@require_POST
def telephone_yes(request: HttpRequest, number: str) -> HttpResponse:
    """Record the customer's yes as given by telephone."""
    job = job_or_404(request, number)
    form = TelephoneYesForm(request.POST, prefix="yes")

    def agree(data: dict[str, Any]) -> object:
        revision_id = data.pop("revision")
        return desk.agree_by_telephone(job_id=job.pk, revision_id=revision_id, by=request.user, **data)  # type: ignore[arg-type]

    did, refused = _done(request, job, "yes", form, agree)
    if refused:
        return refused
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

    def put_right(data: dict[str, Any]) -> object:
        contact = Contact(**{name: data.pop(name) for name in desk.CONTACT})
        return desk.correct_contact(job_id=job.pk, contact=contact, by=request.user, **data)  # type: ignore[arg-type]

    done, refused = _done(request, job, "contact", form, put_right)
    if refused:
        return refused
    if done is None:
        messages.info(request, _("Nothing was changed."))
    else:
        messages.success(request, _("The contact is corrected."))
    return redirect("shop:job_notes", number)
