"""A job's papers: the list, and each as PDF."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import Http404
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from shop.jobs.access import download, job_or_404, sees_customer, staff, works_on_vehicles
from shop.money.models import Invoice
from shop.money.roles import LOOKS
from shop.parts.views_orders import order_or_404

from .content.customer import NoPaperError
from .models import Paper
from .service import SORTS, open_paper

Kind = Paper.Kind
CUSTOMERS_SIDE, AT_THE_VEHICLE = sees_customer, works_on_vehicles
# Each paper opens to those whose pages show what stands in it.
OPENS_TO: dict[str, Callable[[Any], bool]] = {
    Kind.QUOTE: CUSTOMERS_SIDE,
    Kind.SPECIFICATION: CUSTOMERS_SIDE,
    Kind.DEPOSIT: CUSTOMERS_SIDE,
    Kind.JOB_SHEET: AT_THE_VEHICLE,
    Kind.HANDOVER: AT_THE_VEHICLE,
}
ABOUT = {
    Kind.QUOTE: _("What we offer and what it costs, with tax split and terms"),
    Kind.SPECIFICATION: _("Everything that was chosen, with every fit check"),
    Kind.DEPOSIT: _("What to transfer, with bank details and payment code"),
    Kind.JOB_SHEET: _("For the bay: steps, torque, paint to mix, parts"),
    Kind.HANDOVER: _("What was fitted, torque record, paint codes, note for the insurer"),
}


@staff()
@require_safe
def papers(request: HttpRequest, number: str) -> HttpResponse:
    """The papers of one job, and why one cannot be made yet."""
    job = job_or_404(request, number)
    rows = []
    for kind, about in ABOUT.items():
        if not OPENS_TO[kind](request.user):
            continue
        rows.append((kind, about, SORTS[kind].missing(job)))
    context = {"job": job, "revision": job.revision, "rows": rows, "sees_money": sees_customer(request.user)}
    return render(request, "shop/documents/papers.html", context)


@staff()
@require_safe
def paper(request: HttpRequest, number: str, kind: str) -> HttpResponse:
    """One paper as PDF."""
    job = job_or_404(request, number)
    wanted = next((known for known in ABOUT if known.slug == kind), None)
    if wanted is None or not OPENS_TO[wanted](request.user):
        raise Http404("There is no such paper.")
    try:
        made = open_paper(kind=wanted, about=job)
    except NoPaperError as error:
        context = {"job": job, "revision": job.revision, "rows": [], "missing": str(error)}
        return render(request, "shop/documents/papers.html", context, status=409)
    return download(made.data, made.filename, "application/pdf", inline=True)


@staff(*LOOKS)
@require_safe
def invoice_paper(request: HttpRequest, number: str, invoice: str) -> HttpResponse:
    """An invoice or credit note as PDF/A-3 with its data inside."""
    found = get_object_or_404(Invoice, number=invoice, job=job_or_404(request, number))
    made = open_paper(kind=Kind.INVOICE, about=found)
    return download(made.data, f"{found.number}.pdf", "application/pdf", inline=True)


@staff()
@require_safe
def order_paper(request: HttpRequest, number: str, form: str) -> HttpResponse:
    """A purchase order as PDF."""
    made = open_paper(kind=Kind.PURCHASE_ORDER, about=order_or_404(number))
    return download(made.data, f"{number}.{form}", "application/pdf", inline=True)
