"""What goes back to the customer, and what is owed for a job that was called off."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from shop.jobs.access import job_or_404, staff

from .account import account
from .forms import (
    OwedForm,
    PaidOutForm,
    RefundForm,
    WithdrawForm,
)
from .ledger import withdraw_refund
from .models import Refund, Settlement
from .refunds import decide_owed, decide_refund, mark_refund_paid
from .roles import DECIDES
from .views import acted


@staff(*DECIDES)
@require_POST
def refund(request: HttpRequest, number: str) -> HttpResponse:
    """Decide what goes back."""
    job = job_or_404(request, number)
    form = RefundForm(request.POST, auto_id="id_refund_%s")

    def act(data: dict[str, Any]) -> object:
        made = decide_refund(job_id=job.pk, by=request.user, **data)
        now = account(job)
        if now.is_balance and now.outstanding:
            messages.warning(
                request,
                _(
                    "%(amount)s of the price is still to come now, and the customer is asked for it. If it "
                    "is goodwill, take it off the price too."
                )
                % {"amount": f"{now.outstanding:.2f}"},
            )
        return made

    said = _("Refund decided. Transfer it with the job's reference in the text.")
    return acted(request, job, "refund", form, act, said, Refund)


@staff(*DECIDES)
@require_POST
def refund_paid(request: HttpRequest, number: str, refund_id: int) -> HttpResponse:
    """Record that a refund left the account."""
    job = job_or_404(request, number)
    found = get_object_or_404(Refund, pk=refund_id, job=job)
    form = PaidOutForm(request.POST)

    def act(data: dict[str, Any]) -> object:
        return mark_refund_paid(refund_id=found.pk, paid_on=data["paid_on"], by=request.user)

    return acted(request, job, "paid_out", form, act, _("Noted as paid out."))


@staff(*DECIDES)
@require_POST
def refund_withdrawn(request: HttpRequest, number: str, refund_id: int) -> HttpResponse:
    """Take a refund back that has not been paid out."""
    job = job_or_404(request, number)
    found = get_object_or_404(Refund, pk=refund_id, job=job)
    form = WithdrawForm(request.POST, auto_id="id_withdraw_%s")

    def act(data: dict[str, Any]) -> object:
        return withdraw_refund(refund_id=found.pk, why=data["why"], by=request.user)

    return acted(request, job, "withdraw", form, act, _("Refund withdrawn."))


@staff(*DECIDES)
@require_POST
def owed(request: HttpRequest, number: str) -> HttpResponse:
    """Decide what is owed for a job that was called off."""
    job = job_or_404(request, number)
    form = OwedForm(request.POST, auto_id="id_owed_%s")

    def act(data: dict[str, Any]) -> object:
        return decide_owed(job_id=job.pk, by=request.user, **data)

    return acted(request, job, "owed", form, act, _("Decided."), Settlement)
