"""Goods that did not go the straight way: damaged, wrong, sent back, a receipt undone, credits awaited."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from configurator.catalogue import workshop
from shop.jobs.access import staff
from shop.jobs.errors import beside
from shop.jobs.press import renew
from shop.jobs.states import BUYER, MANAGER

from .forms_goods import CreditForm, TroubleForm, UndoForm
from .goods import GoodsError, credit_awaited, note_credit, note_trouble, undo_receipt
from .models import GoodsNote, Receipt
from .views import PAGE
from .views_orders import order_or_404, order_page


@staff(BUYER, MANAGER)
@require_POST
def trouble(request: HttpRequest, number: str) -> HttpResponse:
    """Note goods that are damaged, wrong or go back."""
    found = order_or_404(number)
    form = TroubleForm(found, request.POST, prefix="trouble")
    if not form.is_valid():
        return order_page(request, found, {"trouble": form}, 422)
    told = form.cleaned_data
    try:
        note_trouble(
            order_id=found.pk,
            line_id=told["line"].pk,
            trouble=form.trouble(),
            by=request.user,
            press=told["press"],
        )
    except GoodsError as error:
        beside(form, error)
        renew(form)
        return order_page(request, found, {"trouble": form}, 422)
    messages.success(request, _("Noted. What jobs lack now stands among the parts to order, or is expected."))
    return redirect("shop:order", number)


@staff(BUYER, MANAGER)
@require_POST
def undo(request: HttpRequest, number: str, receipt_id: int) -> HttpResponse:
    """Take back a receipt that was booked by mistake."""
    found = order_or_404(number)
    receipt = get_object_or_404(Receipt, pk=receipt_id, order=found)
    form = UndoForm(request.POST)
    if not form.is_valid():
        return order_page(request, found, {"undo": (receipt.pk, form)}, 422)
    try:
        did = undo_receipt(receipt_id=receipt.pk, why=form.cleaned_data["why"], by=request.user)
    except GoodsError as error:
        form.add_error(None, str(error))
        return order_page(request, order_or_404(number), {"undo": (receipt.pk, form)}, 422)
    said = _("Undone: what it brought is off the shelf and open again.") if did else _("Undone already.")
    messages.success(request, said)
    return redirect("shop:order", number)


@staff(BUYER, MANAGER)
@require_POST
def credit(request: HttpRequest, number: str, note_id: int) -> HttpResponse:
    """Note the supplier's credit."""
    found = order_or_404(number)
    note = get_object_or_404(GoodsNote, pk=note_id, line__order=found)
    form = CreditForm(request.POST, prefix=f"credit-{note.pk}")
    if not form.is_valid():
        return order_page(request, found, {"credit": form}, 422)
    told = form.cleaned_data
    if note_credit(note_id=note.pk, number=told["number"], amount_net=told["amount_net"]):
        messages.success(request, _("The credit is noted."))
    else:
        messages.info(request, _("A credit was noted for it already."))
    return redirect("shop:order", number)


@staff(BUYER, MANAGER)
@require_safe
def credits(request: HttpRequest) -> HttpResponse:
    """What suppliers still owe a credit note for, the oldest first."""
    waiting = GoodsNote.objects.exclude(credit_due_net=None).filter(credited_at=None)
    page = Paginator(waiting.select_related("line__order").order_by("pk"), PAGE)
    context = {
        "page": page.get_page(request.GET.get("page")),
        "total": credit_awaited(),
        "currency": workshop.currency(),
    }
    return render(request, "shop/orders/credits.html", context)
