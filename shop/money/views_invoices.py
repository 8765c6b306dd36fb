"""Invoices: the list, issuing and taking back, the address they go to, and the export for bookkeeping."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from shop.jobs.access import download, job_or_404, staff
from shop.jobs.press import PressForm
from shop.parts.csv_export import as_csv

from . import selectors
from .addresses import address_of, keep_address
from .forms import AddressForm, CreditForm, ExportForm
from .invoices import credit_invoice, issue_invoice
from .models import Invoice
from .postings import COLUMNS, postings
from .roles import DECIDES, LOOKS, TAKES, decides
from .views import acted

TO_INVOICE_SHOWN = 20


@staff(*LOOKS)
@require_safe
def invoices(request: HttpRequest) -> HttpResponse:
    """Invoices and credit notes, newest first, and the jobs that have none yet."""
    page = Paginator(
        Invoice.objects.select_related("job", "corrects").order_by("-pk"), selectors.PAGE
    ).get_page(request.GET.get("page"))
    waiting = selectors.to_invoice()
    context = {
        "page": page,
        "waiting": waiting[:TO_INVOICE_SHOWN],
        "waiting_count": waiting.count(),
        "unmatched": selectors.open_count(),
        "is_manager": decides(request.user),
    }
    return render(request, "shop/money/invoices.html", context)


@staff(*TAKES)
@require_POST
def address(request: HttpRequest, number: str) -> HttpResponse:
    """Keep the address that the invoice goes to."""
    job = job_or_404(request, number)
    form = AddressForm(request.POST, instance=address_of(job), auto_id="id_address_%s")

    def act(data: dict[str, Any]) -> object:
        return keep_address(job_id=job.pk, by=request.user, address=data)  # type: ignore[arg-type]

    return acted(request, job, "address", form, act, _("Address kept."))


@staff(*TAKES)
@require_POST
def issue(request: HttpRequest, number: str) -> HttpResponse:
    """Issue the invoice."""
    job = job_or_404(request, number)
    form = PressForm(request.POST)

    def act(data: dict[str, Any]) -> object:
        return issue_invoice(job_id=job.pk, by=request.user, press=data["press"])

    return acted(request, job, "issue", form, act, _("Invoice issued."), Invoice)


@staff(*DECIDES)
@require_POST
def credit(request: HttpRequest, number: str, invoice_id: int) -> HttpResponse:
    """Take an invoice back by a credit note."""
    job = job_or_404(request, number)
    found = get_object_or_404(Invoice, pk=invoice_id, job=job)
    form = CreditForm(request.POST, auto_id="id_credit_%s")

    def act(data: dict[str, Any]) -> object:
        return credit_invoice(invoice_id=found.pk, by=request.user, **data)

    return acted(request, job, "credit", form, act, _("Credit note issued."), Invoice)


@staff(*DECIDES)
@require_safe
def export(request: HttpRequest) -> HttpResponse:
    """Postings of some days as CSV; without days the form, for the month before."""
    if "start" not in request.GET and "end" not in request.GET:
        return _export(request, ExportForm(initial=_last_month()))
    form = ExportForm(request.GET)
    if not form.is_valid():
        return _export(request, form, 422)
    start, end = form.cleaned_data["start"], form.cleaned_data["end"]
    data = as_csv(COLUMNS, postings(start, end))
    return download(data, f"postings-{start}-{end}.csv", "text/csv; charset=utf-8")


def _export(request: HttpRequest, form: ExportForm, status: int = 200) -> HttpResponse:
    context = {
        "form": form,
        "columns": COLUMNS,
        "unmatched": selectors.open_count(),
        "is_manager": decides(request.user),
    }
    return render(request, "shop/money/export.html", context, status=status)


def _last_month() -> dict[str, str]:
    end = timezone.localdate().replace(day=1) - timedelta(days=1)
    return {"start": end.replace(day=1).isoformat(), "end": end.isoformat()}
