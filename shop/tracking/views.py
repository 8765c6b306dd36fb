"""The customer's page of a job and what can be done on it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.forms import BaseForm
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language, gettext_noop
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.builds.service import keep_language, take_back_share
from configurator.visitors.address import visitor_address
from shop.jobs.errors import JobError, UnmetError, beside
from shop.jobs.links import tracking_url
from shop.jobs.models import Job
from shop.jobs.roles import THE_CUSTOMER
from shop.messages import conversation
from shop.money.addresses import address_of, keep_address
from shop.money.forms import AddressForm
from shop.planning import booking

from . import actions
from .access import by_link, is_preview, private
from .calendar_file import calendar_file
from .forms import AcceptForm, AnswerForm, CancelForm, DaysForm, LinkForm, MessageForm, PostedForm, new_press
from .forms_contact import MailForm, PhoneForm
from .selectors import job_view

TOO_OFTEN = gettext_noop(
    "Links were asked for too often within this hour, from here or for this address. If a job was sent from "
    "it, the mails are on the way; otherwise ask again in an hour."
)


@require_safe
@by_link
def job(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Show where the job stands; whoever reads it here is written to in the same language."""
    language = get_language() or settings.LANGUAGE_CODE
    if not is_preview(request) and job.spec.language != language:
        keep_language(spec_id=job.spec_id, language=language)
    return page_of(request, job)


def page_of(request: HttpRequest, job: Job, status: int = 200, **sent: Any) -> HttpResponseBase:
    """Show the page, with ``sent`` in place of its own forms: what was typed and is not right yet."""
    view = job_view(job)
    forms: dict[str, Any] = {}
    if not is_preview(request):
        forms = {**_forms(job, view.is_offer, view.question), **_address_form(job, view.asks_address), **sent}
    context: dict[str, Any] = {"view": view, "job": view.job, "preview": is_preview(request), **forms}
    context["photo_press"] = new_press()
    response = render(request, "tracking/job.html", context, status=status)
    if not is_preview(request) and any(not m.from_customer and m.read_at is None for m in view.messages):
        conversation.mark_read(job, by_customer=True)
    return response


def _forms(job: Job, is_offer: bool = False, question: int | None = None) -> dict[str, PostedForm]:
    def address(name: str) -> str:
        return reverse(f"tracking:{name}", args=[job.token])

    return {
        "message_form": MessageForm(address=address("write") + "#messages"),
        "answer_form": AnswerForm(
            address=address("answer") + "#asked",
            look="" if not is_offer else "btn-plain",
            initial={"asked": question},
        ),
        "accept_form": AcceptForm(
            address=address("accept") + "#asked", initial={"revision": job.revision_id}
        ),
        "days_form": DaysForm(address=address("days") + "#days"),
        "cancel_form": CancelForm(address=address("cancel") + "#cancel", freely=actions.needs_no_reason()),
        "phone_form": PhoneForm(address=address("phone") + "#contact", initial={"phone": job.revision.phone}),
        "mail_form": MailForm(address=address("mail") + "#contact"),
    }


def _address_form(job: Job, is_asked: bool) -> dict[str, BaseForm]:
    """Return the form for the invoice's address while it can be given."""
    if not is_asked:
        return {}
    return {"address_form": AddressForm(instance=address_of(job), auto_id="id_address_%s")}


def _post(
    request: HttpRequest, job: Job, name: str, act: Callable[[dict[str, Any]], bool], done: str
) -> HttpResponseBase:
    """Check a form, act, and go back to the page; what is wrong is told beside its field."""
    empty = _forms(job)[f"{name}_form"]
    more: Any = {"freely": actions.needs_no_reason()} if isinstance(empty, CancelForm) else {}
    form = type(empty)(request.POST, address=empty.address, **more)
    if form.is_valid():
        try:
            if act(form.cleaned_data):
                messages.success(request, done)
        except UnmetError as error:
            beside(form, error)
        except JobError as error:
            said = form.cleaned_data
            return too_late(request, job, str(error), said.get("answer") or said.get("why") or "")
        else:
            return _back(job)
    return page_of(request, job, status=400, **{f"{name}_form": form})


def too_late(request: HttpRequest, job: Job, why: str, words: str) -> HttpResponseBase:
    """Say why it is not done. Its form may be gone, so what was written waits in the form of a message."""
    messages.error(request, why)
    if not words:
        return _back(job)
    messages.info(request, _("What you wrote stands below as a message. Send it if we are to read it."))
    form = MessageForm(
        address=reverse("tracking:write", args=[job.token]) + "#messages", initial={"text": words}
    )
    return page_of(request, Job.objects.get(pk=job.pk), status=409, message_form=form)


def _back(job: Job) -> HttpResponseBase:
    return redirect("tracking:job", job.token)


@require_POST
@by_link
def write(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take a message."""

    def act(data: dict[str, Any]) -> bool:
        return conversation.write_as_customer(job_id=job.pk, text=data["text"], press=data["press"])

    return _post(request, job, "message", act, _("Your message is with us."))


@require_POST
@by_link
def answer(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take an answer to what was asked."""

    def act(data: dict[str, Any]) -> bool:
        return actions.answer(job_id=job.pk, text=data["answer"], asked=data["asked"])

    done = _("Your answer is with us. We go on looking through your build.")
    return _post(request, job, "answer", act, done)


@require_POST
@by_link
def accept(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take a yes to one exact revision."""

    def act(data: dict[str, Any]) -> bool:
        return actions.accept(job_id=job.pk, revision_id=data["revision"])

    return _post(request, job, "accept", act, _("Thank you. You have accepted this version."))


@require_POST
@by_link
def days(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take the days on which the customer would rather come."""
    form = DaysForm(request.POST, address=reverse("tracking:days", args=[job.token]) + "#days")
    if form.is_valid():
        try:
            booking.wish_for_days(job_id=job.pk, days=form.days(), note=form.cleaned_data["note"])
        except UnmetError as error:
            form.add_error("first", str(error))
        except JobError as error:
            return too_late(request, job, str(error), form.cleaned_data["note"])
        else:
            messages.success(request, _("Your days are with us. We answer by mail."))
            return _back(job)
    return page_of(request, job, status=400, days_form=form)


@require_POST
@by_link
def cancel(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Call the job off."""

    def act(data: dict[str, Any]) -> bool:
        return actions.call_off(job_id=job.pk, why=data["why"])

    return _post(request, job, "cancel", act, _("The job has been called off."))


@require_POST
@by_link
def address(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take the postal address that the invoice goes to."""
    form = AddressForm(request.POST, instance=address_of(job), auto_id="id_address_%s")
    if not form.is_valid():
        return page_of(request, job, status=400, address_form=form)
    if keep_address(job_id=job.pk, by=THE_CUSTOMER, address=form.cleaned_data):
        messages.success(request, _("Thank you. The invoice goes to this address."))
    return _back(job)


@require_POST
@by_link
def unshare(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Take back the link under which the build was shown to others."""
    take_back_share(spec_id=job.spec_id)
    messages.success(request, _("The link under which you showed your build opens nothing any more."))
    return _back(job)


@require_safe
@by_link
def dates(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Give the booked dates as a calendar file."""
    data = calendar_file(job, link=tracking_url(job), stamp=timezone.now())
    if data is None:
        raise Http404
    response = HttpResponse(data, content_type="text/calendar; charset=utf-8; method=PUBLISH")
    response["Content-Disposition"] = f'attachment; filename="{job.number}.ics"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
def new_link(request: HttpRequest) -> HttpResponseBase:
    """Let a customer ask for a link that works; the answer is the same for every address.

    It takes the same time too: looking the address up and mailing are done beside the request.
    So is that after too many: it counts what was asked, whether or not a job is known there.
    """
    form = LinkForm(request.POST or None, address=reverse("tracking:new_link"))
    if request.method == "POST" and form.is_valid():
        taken = actions.ask_for_link(email=form.cleaned_data["email"], sender=visitor_address(request))
        if not taken:
            form.add_error(None, _(TOO_OFTEN))
            return private(render(request, "tracking/new_link.html", {"form": form}, status=429))
        return private(redirect("tracking:link_sent"))
    status = 400 if request.method == "POST" else 200
    return private(render(request, "tracking/new_link.html", {"form": form}, status=status))


@require_safe
def link_sent(request: HttpRequest) -> HttpResponseBase:
    """Say what happens now, whoever asked."""
    return private(render(request, "tracking/link_sent.html"))
