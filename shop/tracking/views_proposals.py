"""The customer's answer to a proposed change, given by the private link."""

from __future__ import annotations

from decimal import Decimal

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from configurator.pictures.giving import give
from shop.jobs import answering
from shop.jobs import changes as proposing
from shop.jobs.errors import JobError, StaleError
from shop.jobs.models import Job
from shop.jobs.models_lines import Proposal
from shop.jobs.moving import locked, record
from shop.jobs.roles import THE_CUSTOMER

from .access import by_link
from .views import too_late


class AnsweredForm(forms.Form):
    """A yes at the price that was shown, or a no."""

    answer = forms.ChoiceField(choices=[("yes", ""), ("no", "")])
    total = forms.DecimalField(required=False, max_digits=12, decimal_places=2)
    words = forms.CharField(required=False, max_length=1000)


@require_POST
@by_link
def change(request: HttpRequest, job: Job, number: int) -> HttpResponseBase:
    """Take the customer's answer to one change."""
    proposal = get_object_or_404(job.proposals, number=number)
    form = AnsweredForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Please press yes or no once more."))
        return redirect("tracking:job", job.token)
    try:
        if form.cleaned_data["answer"] == "yes":
            _agree(job, proposal, form.cleaned_data["total"], form.cleaned_data["words"])
            messages.success(request, _("Thank you. We do it."))
        else:
            answering.refuse(proposal_id=proposal.pk, by=THE_CUSTOMER, words=form.cleaned_data["words"])
            messages.success(request, _("Thank you. We leave it as agreed."))
    except JobError as error:
        return too_late(request, job, str(error), form.cleaned_data["words"])
    return redirect("tracking:job", job.token)


@transaction.atomic
def _agree(job: Job, proposal: Proposal, seen: Decimal | None, words: str) -> None:
    """Agree at the price that was shown, and keep what exactly was said yes to."""
    locked(job.pk)
    proposal.refresh_from_db()
    offer = proposing.offer_of(proposal)
    total = offer.price.total if offer.price else None
    if proposal.state == Proposal.State.OPEN and total != seen:
        raise StaleError(_("The price has changed since you opened this page. Please look again."))
    if answering.agree(proposal_id=proposal.pk, by=THE_CUSTOMER):
        record(
            job, THE_CUSTOMER, "tracking.consent_given", why=words.strip(), proposal=proposal.number,
            total=str(total), words=_("Yes, at this price"),
        )  # fmt: skip


@require_safe
@by_link
def change_photo(request: HttpRequest, job: Job, number: int) -> HttpResponseBase:
    """Give the photo of what was found."""
    proposal = get_object_or_404(job.proposals, number=number)
    if not proposal.photo:
        raise Http404
    return give(proposal.photo)
