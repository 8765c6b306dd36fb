"""The manager's money pages: deposits, one job's account, refunds."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from configurator.catalogue import workshop
from shop.jobs.access import job_or_404, sees_customer, staff
from shop.jobs.models import Job
from shop.jobs.roles import roles_of
from shop.jobs.states import CLOSED, MANAGER, REVIEWER, State

from . import selectors
from .forms import PaidOutForm, PaymentForm, RefundForm
from .ledger import PaymentError, account, book_payment, undo_payment, waiting_refunds
from .models import Payment, Refund
from .payment_code import payment_code
from .refunds import decide_refund, mark_refund_paid, refund_due

SEES = (MANAGER, REVIEWER)


def is_manager(request: HttpRequest) -> bool:
    """Whether this person books money; reviewers look."""
    return MANAGER in roles_of(request.user)


@staff(*SEES)
@require_safe
def money(request: HttpRequest) -> HttpResponse:
    """Deposits: what is due, late, held, and to be paid back."""
    rows = selectors.deposit_rows()
    shown = request.GET.get("state", "")
    context = {
        "rows": [row for row in rows if row.account.state == shown] if shown else rows,
        "states": [
            (state, n) for state in selectors.SHOWN if (n := sum(r.account.state == state for r in rows))
        ],
        "shown": shown,
        "totals": selectors.totals(rows),
        "refunds": waiting_refunds(),
        "unmatched": selectors.open_count(),
        "currency": workshop.currency(),
        "is_manager": is_manager(request),
    }
    return render(request, "shop/money/deposits.html", context)


@staff(*SEES)
@require_safe
def job_money(request: HttpRequest, number: str) -> HttpResponse:
    """One job's requests, payments and refunds."""
    return _job_money(request, job_or_404(request, number), {})


def _job_money(request: HttpRequest, job: Job, bound: dict[str, Any], status: int = 200) -> HttpResponse:
    now = account(job)
    due = refund_due(job)
    code, no_code = (
        payment_code(now.request, now.outstanding) if now.request and now.outstanding else (None, "")
    )
    initial = {"amount": due.amount, "why": due.why}
    context = {
        "job": job,
        "revision": job.revision,
        "account": now,
        "row": selectors.DepositRow(job, now),
        "requests": job.deposit_requests.prefetch_related("reminders").order_by("-number"),
        "payments": job.payments.select_related("by", "entry__file", "undone_by").order_by("-pk"),
        "refunds": job.refunds.select_related("decided_by").order_by("-pk"),
        "pay": bound.get("pay") or PaymentForm(initial={"amount": now.outstanding or None}),
        "refund": bound.get("refund") or RefundForm(initial=initial),
        "paid_out": bound.get("paid_out") or PaidOutForm(),
        "due": due,
        "closed": job.state in CLOSED - {State.HANDED_OVER},
        "code": code,
        "no_code": no_code,
        "currency": now.request.currency if now.request else workshop.currency(),
        "is_manager": is_manager(request),
        "sees_money": sees_customer(request.user),
    }
    return render(request, "shop/money/job.html", context, status=status)


def _acted(
    request: HttpRequest, job: Job, name: str, form: Form, act: Callable[[dict[str, Any]], object], said: str
) -> HttpResponse:
    """Act on a valid form and go back to the page; what is wrong is told beside its field."""
    if form.is_valid():
        try:
            act(form.cleaned_data)
        except PaymentError as error:
            form.add_error(error.field or None, str(error))
        else:
            messages.success(request, said)
            return redirect("shop:job_money", job.number)
    return _job_money(request, job, {name: form}, 422)


@staff(MANAGER)
@require_POST
def pay(request: HttpRequest, number: str) -> HttpResponse:
    """Book a payment by hand."""
    job = job_or_404(request, number)
    form = PaymentForm(request.POST)

    def act(data: dict[str, Any]) -> object:
        return book_payment(job_id=job.pk, by=request.user, **data)

    return _acted(request, job, "pay", form, act, "Payment booked.")


@staff(MANAGER)
@require_POST
def undo(request: HttpRequest, number: str, payment_id: int) -> HttpResponse:
    """Undo a payment that was booked by hand; a matched movement is undone at its statement."""
    job = job_or_404(request, number)
    payment = get_object_or_404(Payment, pk=payment_id, job=job)
    if payment.entry_id:
        raise Http404("A matched movement is undone where it was matched.")
    try:
        undo_payment(payment_id=payment.pk, by=request.user, note="undone by hand")
        messages.warning(request, "Payment undone. The job stays in its state: look whether that is right.")
    except PaymentError as error:
        messages.error(request, str(error))
    return redirect("shop:job_money", number)


@staff(MANAGER)
@require_POST
def refund(request: HttpRequest, number: str) -> HttpResponse:
    """Decide what goes back."""
    job = job_or_404(request, number)
    form = RefundForm(request.POST)

    def act(data: dict[str, Any]) -> object:
        return decide_refund(job_id=job.pk, by=request.user, **data)

    return _acted(
        request, job, "refund", form, act, "Refund decided. Transfer it with the job's reference in the text."
    )


@staff(MANAGER)
@require_POST
def refund_paid(request: HttpRequest, number: str, refund_id: int) -> HttpResponse:
    """Record that a refund left the account."""
    job = job_or_404(request, number)
    found = get_object_or_404(Refund, pk=refund_id, job=job)
    form = PaidOutForm(request.POST)

    def act(data: dict[str, Any]) -> object:
        return mark_refund_paid(refund_id=found.pk, paid_on=data["paid_on"], by=request.user)

    return _acted(request, job, "paid_out", form, act, "Noted as paid out.")
