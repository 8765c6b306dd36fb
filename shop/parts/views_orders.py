"""Purchase orders: the list, one order with its files, goods in."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from shop.jobs.access import download, staff
from shop.jobs.states import BUYER, MANAGER

from . import selectors
from .csv_export import order_csv
from .forms import AnswerForm, NotComingForm, ReceiveForm, SendForm
from .forms_goods import CreditForm, TroubleForm
from .models import GoodsNote, PurchaseOrder
from .service import ReceiptError, close_line, receive
from .ubl import not_peppol, order_ubl
from .views import PAGE, may_buy

State = PurchaseOrder.State


@staff()
@require_safe
def orders(request: HttpRequest) -> HttpResponse:
    """All orders, newest first, by state."""
    state = request.GET.get("state", "")
    if state not in State.values:
        state = ""
    page = Paginator(selectors.listed_orders(state), PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "state": state, "states": State.choices, "may_buy": may_buy(request)}
    return render(request, "shop/orders/list.html", context)


def order_or_404(number: str) -> PurchaseOrder:
    """Return the order of this number."""
    found = PurchaseOrder.objects.prefetch_related(
        "lines__ordered_for__part__job", "receipts__lines__line", "receipts__by", "receipts__undone_by"
    )
    return get_object_or_404(found, number=number)


@staff()
@require_safe
def order(request: HttpRequest, number: str) -> HttpResponse:
    """One order: lines, files, goods in."""
    return order_page(request, order_or_404(number), {})


def order_page(
    request: HttpRequest, found: PurchaseOrder, bound: dict[str, Any], status: int = 200
) -> HttpResponse:
    """Show one order, with forms that were refused in place of empty ones."""
    context = {
        "order": found,
        "lines": [(line, selectors.jobs_of(line)) for line in found.lines.all()],
        "receive": bound.get("receive") or ReceiveForm(found),
        "not_coming": bound.get("not_coming") or NotComingForm(found),
        "trouble": bound.get("trouble") or TroubleForm(found, prefix="trouble"),
        "goods_notes": _noted(found, bound),
        "undo": bound.get("undo"),
        "mails": found.mails.select_related("by"),
        "answers": found.answers.select_related("by", "line"),
        "send": SendForm(initial={"seen": found.mails.count()}),
        "answer": bound.get("answer") or AnswerForm(found, prefix="answer"),
        "may_buy": may_buy(request),
        "not_peppol": not_peppol(found),
    }
    return render(request, "shop/orders/order.html", context, status=status)


def _noted(found: PurchaseOrder, bound: dict[str, Any]) -> list[tuple[GoodsNote, CreditForm | None]]:
    """Return what went otherwise on an order, each with the form of its credit where one is awaited."""
    notes = GoodsNote.objects.filter(line__order=found).select_related("line", "by", "receipt")
    refused = bound.get("credit")
    return [(note, _credit_form(note, refused) if note.awaits_credit else None) for note in notes]


def _credit_form(note: GoodsNote, refused: CreditForm | None) -> CreditForm:
    if refused is not None and refused.prefix == f"credit-{note.pk}":
        return refused
    return CreditForm(prefix=f"credit-{note.pk}", initial={"amount_net": note.credit_due_net})


@staff(BUYER, MANAGER)
@require_POST
def goods_in(request: HttpRequest, number: str) -> HttpResponse:
    """Book what came in."""
    found = order_or_404(number)
    form = ReceiveForm(found, request.POST)
    if not form.is_valid():
        return order_page(request, found, {"receive": form}, 422)
    quantities = form.everything() if "all" in request.POST else form.quantities()
    try:
        receipt = receive(
            order_id=found.pk,
            quantities=quantities,
            by=request.user,
            press=form.cleaned_data["press"],
            delivery_note=form.cleaned_data["delivery_note"],
            surplus=form.cleaned_data["surplus"],
            seen=form.seen(),
        )
    except ReceiptError as error:
        for pk, message in error.lines.items():
            if f"line-{pk}" in form.fields:
                form.add_error(f"line-{pk}", message)
        form.add_error(None, str(error))
        found = order_or_404(number)
        form.look_again(found)
        return order_page(request, found, {"receive": form}, 422)
    came = receipt.lines.count()
    messages.success(
        request,
        ngettext("Booked in: %(n)s line of %(number)s.", "Booked in: %(n)s lines of %(number)s.", came)
        % {"n": came, "number": found.number},
    )
    return redirect("shop:order", number)


@staff(BUYER, MANAGER)
@require_POST
def not_coming(request: HttpRequest, number: str) -> HttpResponse:
    """Record that the rest of a line is not coming."""
    found = order_or_404(number)
    form = NotComingForm(found, request.POST)
    if not form.is_valid():
        return order_page(request, found, {"not_coming": form}, 422)
    line = form.cleaned_data["line"]
    try:
        close_line(order_id=found.pk, line_id=line.pk, why=form.cleaned_data["why"])
    except ReceiptError as error:
        form.add_error(None, str(error))
        return order_page(request, order_or_404(number), {"not_coming": form}, 422)
    messages.warning(
        request,
        _("The rest of %(part)s is not coming; it is back among the parts to order.") % {"part": line.name},
    )
    return redirect("shop:order", number)


@staff()
@require_safe
def order_file(request: HttpRequest, number: str, form: str) -> HttpResponse:
    """The order as CSV or UBL; its PDF is a paper and stands with the papers."""
    found = order_or_404(number)
    if form == "csv":
        return download(order_csv(found), f"{number}.csv", "text/csv; charset=utf-8")
    return download(order_ubl(found), f"{number}.xml", "application/xml")
