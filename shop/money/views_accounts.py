"""A day's closing list and one customer's account, made to be printed."""

from __future__ import annotations

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_safe

from configurator.catalogue import workshop
from shop.jobs.access import staff
from shop.jobs.roles import roles_of
from shop.jobs.states import MANAGER, REVIEWER

from . import accounts, selectors
from .forms import DAY


class DayForm(forms.Form):
    """Which day to close."""

    day = forms.DateField(label=gettext_lazy("Day"), widget=forms.DateInput(attrs=DAY))


@staff(MANAGER)
@require_safe
def day(request: HttpRequest) -> HttpResponse:
    """What came in on a day by which way, and what went back."""
    today = timezone.localdate()
    form = DayForm(request.GET if request.GET else {"day": today.isoformat()})
    chosen = form.cleaned_data["day"] if form.is_valid() else today
    context = {
        "form": form,
        "closing": accounts.closing(chosen),
        "currency": workshop.currency(),
        "unmatched": selectors.open_count(),
        "is_manager": True,
    }
    return render(request, "shop/money/day.html", context, status=200 if form.is_valid() else 422)


@staff(MANAGER, REVIEWER)
@require_safe
def customer(request: HttpRequest) -> HttpResponse:
    """Show what one customer was asked for and paid over all jobs."""
    found = accounts.customer_account(request.GET.get("email", ""))
    if found is None:
        raise Http404("No job has this address.")
    context = {
        "account": found,
        "currency": workshop.currency(),
        "today": timezone.localdate(),
        "unmatched": selectors.open_count(),
        "is_manager": MANAGER in roles_of(request.user),
    }
    return render(request, "shop/money/customer.html", context)
