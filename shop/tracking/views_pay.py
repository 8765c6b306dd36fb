"""Paying from a telephone: the payment code large and as a picture, and each field to copy by itself."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from shop.jobs.models import Job
from shop.money.payment_code import payment_picture

from .access import by_link
from .paying import deposit_view


@require_safe
@by_link
def pay(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Show what is to be paid now; while nothing is, the job's page says so."""
    deposit = deposit_view(job)
    if deposit is None or not deposit.asks:
        messages.info(request, _("Nothing is to be paid at the moment."))
        return redirect("tracking:job", job.token)
    return render(request, "tracking/pay.html", {"job": job, "deposit": deposit})


@require_safe
@by_link
def picture(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Give the payment code as a picture to keep: a bank's app reads it from there."""
    deposit = deposit_view(job)
    account = deposit.account if deposit and deposit.asks else None
    png = payment_picture(account.request, account.outstanding) if account and account.request else None
    if png is None:
        raise Http404
    response = HttpResponse(png, content_type="image/png")
    response["Content-Disposition"] = f'attachment; filename="{job.number.lower()}.png"'
    return response
