"""The manager's money pages: what is due and held, one job's account, refunds."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import BaseForm
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from configurator.catalogue import workshop
from shop.jobs.access import job_or_404, sees_customer, staff
from shop.jobs.models import Job
from shop.jobs.press import PressForm

from . import selectors
from .account import CALLED_OFF, account
from .addresses import address_of
from .forms import (
    AddressForm,
    CreditForm,
    OwedForm,
    PaidOutForm,
    PaymentForm,
    ReductionForm,
    RefundForm,
    UndoForm,
    WithdrawForm,
)
from .invoices import why_not
from .ledger import PaymentError, book_payment, waiting_refunds
from .models import Payment, Reduction
from .payment_code import payment_code
from .reductions import reduce_price
from .refunds import RefundDue, refund_due
from .roles import DECIDES, LOOKS, TAKES, decides
from .undoing import undo_payment

REFUNDS_SHOWN = 20


@staff(*LOOKS)
@require_safe
def money(request: HttpRequest) -> HttpResponse:
    """What is due, late, held, and to be paid back: a page of it, with the sums of all."""
    shown = request.GET.get("state", "")
    totals = selectors.totals()
    counts = dict(totals.counts)
    found = Paginator(selectors.ledgers(shown), selectors.PAGE)
    # Known already: the sums and the numbers come from one query.
    found.count = counts.get(shown, totals.count)
    page = found.get_page(request.GET.get("page"))
    refunds = waiting_refunds()
    context = {
        "page": page,
        "rows": selectors.rows(page),
        "states": [(state, n) for state, n in totals.counts if n],
        "shown": shown,
        "totals": totals,
        "refunds": refunds[:REFUNDS_SHOWN],
        "refunds_more": max(0, refunds.count() - REFUNDS_SHOWN),
        "unmatched": selectors.open_count(),
        "currency": workshop.currency(),
        "is_manager": decides(request.user),
    }
    return render(request, "shop/money/deposits.html", context)


@staff(*LOOKS)
@require_safe
def job_money(request: HttpRequest, number: str) -> HttpResponse:
    """One job's requests, payments and refunds."""
    return _job_money(request, job_or_404(request, number), {})


def _job_money(request: HttpRequest, job: Job, bound: dict[str, Any], status: int = 200) -> HttpResponse:
    now, due = account(job), refund_due(job)
    code, no_code = (
        payment_code(now.request, now.outstanding) if now.request and now.outstanding else (None, "")
    )
    context = {
        "job": job,
        "revision": job.revision,
        "account": now,
        "tone": selectors.tone(now.state),
        "requests": job.deposit_requests.prefetch_related("reminders").order_by("-number"),
        "payments": job.payments.select_related("by", "entry__file", "undone_by").order_by("-pk"),
        "refunds": job.refunds.select_related("decided_by").order_by("-pk"),
        "reductions": job.reductions.select_related("by"),
        "invoices": job.invoices.select_related("corrects", "by").prefetch_related("credits").order_by("-pk"),
        "no_invoice": why_not(job),
        "due": due,
        "closed": job.state in CALLED_OFF,
        "code": code,
        "no_code": no_code,
        "currency": now.request.currency if now.request else workshop.currency(),
        "is_manager": decides(request.user),
        "sees_money": sees_customer(request.user),
        **_forms(job, now, due),
        **bound,
    }
    return render(request, "shop/money/job.html", context, status=status)


def _back(now: Any, due: Any) -> dict[str, Any]:
    """Return what a refund begins with: by the policy for a job that is off, else what is over."""
    if now.job_state in CALLED_OFF:
        return {"amount": due.amount or None, "why": _for_customer(due)}
    return {"amount": now.over or None}


def _for_customer(due: RefundDue) -> str:
    """Return why so much is owed in the language of the customer, who reads what the manager sends."""
    with translation.override(due.job.revision.language or settings.LANGUAGE_CODE):
        return due.why


def _forms(job: Job, now: Any, due: Any) -> dict[str, BaseForm]:
    return {
        "address": AddressForm(instance=address_of(job), auto_id="id_address_%s"),
        "issue": PressForm(),
        "credit": CreditForm(auto_id="id_credit_%s"),
        "pay": PaymentForm(initial={"amount": now.outstanding or now.rest or None}),
        "undo": UndoForm(auto_id="id_undo_%s"),
        "refund": RefundForm(initial=_back(now, due), auto_id="id_refund_%s"),
        "owed": OwedForm(initial={"owed": due.owed, "why": _for_customer(due)}, auto_id="id_owed_%s"),
        "reduction": ReductionForm(auto_id="id_reduction_%s"),
        "withdraw": WithdrawForm(auto_id="id_withdraw_%s"),
        "paid_out": PaidOutForm(),
    }


def acted(
    request: HttpRequest,
    job: Job,
    name: str,
    form: BaseForm,
    act: Callable[[dict[str, Any]], object],
    said: str,
    model: Any = None,
) -> HttpResponse:
    """Act on a valid form and go back to the page; what is wrong is told beside its field.

    ``model`` is where the key of the pressing is kept: a repeat of the same is told apart.
    """
    if form.is_valid():
        press = form.cleaned_data.get("press")
        again = bool(model and press and model.objects.filter(press=press).exists())
        try:
            act(form.cleaned_data)
        except PaymentError as error:
            form.add_error(error.field or None, str(error))
        else:
            if again:
                messages.info(request, _("That was done already; nothing was done twice."))
            else:
                messages.success(request, said)
            return redirect("shop:job_money", job.number)
    job.refresh_from_db()
    return _job_money(request, job, {name: form, **_out_of_place(job, name, form)}, 422)


def _out_of_place(job: Job, name: str, form: BaseForm) -> dict[str, str]:
    """Return what stands above the page where the form that was refused has no place on it any more."""
    is_off, at_its_refund = job.state in CALLED_OFF, name in ("paid_out", "withdraw")
    there = {"refund": account(job).held > 0, "reduction": not is_off, "owed": is_off}
    if there.get(name, not (at_its_refund and form.non_field_errors())):
        return {}
    said = " ".join(str(message) for found in form.errors.values() for message in found)
    typed = (str(form.data.get(field, "")) for field in ("amount", "owed", "why"))
    return {"refusal": said, "refused_text": ", ".join(filter(None, typed))}


@staff(*TAKES)
@require_POST
def pay(request: HttpRequest, number: str) -> HttpResponse:
    """Book a payment by hand."""
    job = job_or_404(request, number)
    form = PaymentForm(request.POST)

    def act(data: dict[str, Any]) -> object:
        return book_payment(job_id=job.pk, by=request.user, **data)

    return acted(request, job, "pay", form, act, _("Payment booked."), Payment)


@staff(*DECIDES)
@require_POST
def undo(request: HttpRequest, number: str, payment_id: int) -> HttpResponse:
    """Undo a payment that was booked by hand; a matched movement is undone at its statement."""
    job = job_or_404(request, number)
    payment = get_object_or_404(Payment, pk=payment_id, job=job)
    if payment.entry_id:
        raise Http404(_("A matched movement is undone where it was matched."))
    form = UndoForm(request.POST, auto_id="id_undo_%s")

    def act(data: dict[str, Any]) -> object:
        return undo_payment(payment_id=payment.pk, by=request.user, **data)

    said = _("Payment undone. The job and the ledger have followed.")
    return acted(request, job, "undo", form, act, said)


@staff(*DECIDES)
@require_POST
def reduce(request: HttpRequest, number: str) -> HttpResponse:
    """Take something off the price."""
    job = job_or_404(request, number)
    form = ReductionForm(request.POST, auto_id="id_reduction_%s")

    def act(data: dict[str, Any]) -> object:
        return reduce_price(job_id=job.pk, by=request.user, **data)

    return acted(request, job, "reduction", form, act, _("Taken off the price."), Reduction)
