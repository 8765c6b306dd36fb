"""The pages of customers' records."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.catalogue import workshop
from shop.jobs.access import staff
from shop.jobs.states import MANAGER, REVIEWER

from . import selectors
from .merging import MergeError, merge, proposals, say_two, unmerge
from .models import Customer, Merge

PAGE = 20


class FindForm(forms.Form):
    """Find a customer."""

    q = forms.CharField(
        label=gettext_lazy("Name, mail, telephone, registration or VIN"), required=False, max_length=100
    )


class NoteForm(forms.Form):
    """What staff should know of a customer."""

    note = forms.CharField(
        label=gettext_lazy("Note for the workshop"),
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class PairForm(forms.Form):
    """Two records."""

    kept = forms.IntegerField(min_value=1, max_value=2**31)
    gone = forms.IntegerField(min_value=1, max_value=2**31)


@staff(REVIEWER, MANAGER)
@require_safe
def customers(request: HttpRequest) -> HttpResponse:
    """The customers by name, found by anything that is known of them; a page at a time."""
    form = FindForm(request.GET or None)
    words = form.cleaned_data["q"] if form.is_bound and form.is_valid() else ""
    page = Paginator(selectors.listed(words), PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page, "rows": selectors.with_jobs(page.object_list), "words": words}
    return render(request, "shop/customers/list.html", context | {"proposed": bool(proposals(1))})


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def customer(request: HttpRequest, key: int) -> HttpResponse:
    """One customer with jobs, vehicles and money; a record that was joined leads on."""
    found = get_object_or_404(Customer, pk=key)
    if found.merged_into_id:
        return redirect("shop:customer", found.merged_into_id)
    form = NoteForm(request.POST or None, initial={"note": found.note})
    if request.method == "POST" and form.is_valid():
        Customer.objects.filter(pk=found.pk).update(note=form.cleaned_data["note"])
        messages.success(request, _("The note is kept."))
        return redirect("shop:customer", found.pk)
    context = {
        "whole": selectors.whole(found),
        "form": form,
        "proposals": proposals(of=found),
        "currency": workshop.currency(),
    }
    return render(request, "shop/customers/customer.html", context, status=422 if form.errors else 200)


@staff(REVIEWER, MANAGER)
@require_safe
def same(request: HttpRequest) -> HttpResponse:
    """Records that may be one customer."""
    return render(request, "shop/customers/same.html", {"proposals": proposals()})


@staff(REVIEWER, MANAGER)
@require_POST
def decide(request: HttpRequest) -> HttpResponse:
    """Say of two records whether they are one."""
    form = PairForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was changed: please press the button again."))
        return redirect("shop:customers_same")
    kept, gone = form.cleaned_data["kept"], form.cleaned_data["gone"]
    pair = Customer.objects.filter(pk__in={kept, gone})
    if pair.count() != 2:
        messages.error(request, _("One of these records is gone."))
        return redirect("shop:customers_same")
    if "two" in request.POST:
        say_two(one_id=kept, other_id=gone)
        messages.success(request, _("They stay two, and are not proposed again."))
        return redirect("shop:customers_same")
    try:
        merge(kept_id=kept, gone_id=gone, by=request.user)
    except MergeError as error:
        messages.error(request, str(error))
        return redirect("shop:customers_same")
    messages.success(request, _("They are one record now. It can be undone below."))
    return redirect("shop:customer", kept)


@staff(REVIEWER, MANAGER)
@require_POST
def part(request: HttpRequest, merge_id: int) -> HttpResponse:
    """Undo a merge."""
    row = get_object_or_404(Merge, pk=merge_id)
    try:
        did = unmerge(merge_id=row.pk)
    except MergeError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, _("They are two records again.") if did else _("Undone already."))
    return redirect("shop:customer", row.kept_id)
