"""An order mailed to its supplier, and what the supplier says to it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from shop.jobs.access import staff
from shop.jobs.press import renew
from shop.jobs.states import BUYER, MANAGER

from .forms import AnswerForm, SendForm
from .sending import OrderAnswerError, letter_of, note_answer, send_by_mail, try_again
from .views_orders import order_or_404, order_page


@staff(BUYER, MANAGER)
@require_safe
def letter(request: HttpRequest, number: str) -> HttpResponse:
    """The letter and the files as they will be mailed, to look at before."""
    found = order_or_404(number)
    context = {
        "order": found,
        "letter": letter_of(found),
        "send": SendForm(initial={"seen": found.mails.count()}),
    }
    return render(request, "shop/orders/letter.html", context)


@staff(BUYER, MANAGER)
@require_POST
def send(request: HttpRequest, number: str) -> HttpResponse:
    """Mail the order to its supplier."""
    found = order_or_404(number)
    form = SendForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was sent: please press the button again."))
        return redirect("shop:order", number)
    try:
        mail = send_by_mail(order_id=found.pk, by=request.user, **form.cleaned_data)
    except OrderAnswerError as error:
        messages.warning(request, str(error))
        return redirect("shop:order", number)
    if mail:
        messages.success(request, _("The order goes to %(to)s.") % {"to": mail.to})
    else:
        messages.error(request, _("No mail address of this supplier was known when the order was placed."))
    return redirect("shop:order", number)


@staff(BUYER, MANAGER)
@require_POST
def send_again(request: HttpRequest, number: str) -> HttpResponse:
    """Try again what could not be sent."""
    if try_again(order_id=order_or_404(number).pk):
        messages.success(request, _("It is tried again."))
    return redirect("shop:order", number)


@staff(BUYER, MANAGER)
@require_POST
def answer(request: HttpRequest, number: str) -> HttpResponse:
    """Note what the supplier said."""
    found = order_or_404(number)
    form = AnswerForm(found, request.POST, prefix="answer")
    if not form.is_valid():
        return order_page(request, found, {"answer": form}, 422)
    told = form.cleaned_data
    try:
        note_answer(
            order_id=found.pk,
            said=told["said"],
            line_id=told["line"].pk if told["line"] else None,
            day=told["day"],
            note=told["note"],
            by=request.user,
            press=told["press"],
        )
    except OrderAnswerError as error:
        form.add_error(error.field or None, str(error))
        renew(form)
        return order_page(request, found, {"answer": form}, 422)
    messages.success(request, _("Noted."))
    return redirect("shop:order", number)
