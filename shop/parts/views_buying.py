"""An order put together by hand: for stock, or from another supplier than the usual one."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from configurator.catalogue import workshop
from configurator.catalogue.models import Item
from shop.jobs.access import staff
from shop.jobs.press import renew
from shop.jobs.states import BUYER, MANAGER

from .buying import place_by_hand
from .forms_buying import LINES, HandLineForm, HandOrderForm, filled_lines, line_forms
from .placing import OrderError

PROPOSED = 400


@staff(BUYER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def new_order(request: HttpRequest) -> HttpResponse:
    """Put an order together; ``item`` and ``quantity`` in the address fill the first line in."""
    if request.method == "POST":
        return _placed(request)
    first = {f"line0-{name}": request.GET.get(name, "")[:160] for name in ("item", "quantity")}
    form = HandOrderForm(initial={"supplier": request.GET.get("supplier", "")[:60]})
    return _page(request, form, filled_lines(first, LINES))


def _placed(request: HttpRequest) -> HttpResponse:
    sent = request.POST.get("lines", "")
    count = int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 4 else LINES
    if "more" in request.POST:
        # Only more room is asked for: nothing is judged and nothing that was typed is lost.
        typed = {name: request.POST.get(name, "") for name in HandOrderForm.base_fields}
        return _page(request, HandOrderForm(initial=typed), filled_lines(request.POST, count + LINES))
    form, lines = HandOrderForm(request.POST), line_forms(request.POST, count)
    judged = [each.is_valid() for each in (form, *lines)]
    if not all(judged):
        return _page(request, form, lines, 422)
    told = [(line, each) for line in lines if (each := line.typed())]
    try:
        order = place_by_hand(
            supplier=form.cleaned_data["supplier"],
            typed=[each for _line, each in told],
            by=request.user,
            press=form.cleaned_data["press"],
            note=form.cleaned_data["note"],
        )
    except OrderError as error:
        for place, message in error.lines.items():
            told[int(place)][0].add_error(None, message)
        form.add_error(None, str(error))
        renew(form)
        return _page(request, form, lines, 422)
    messages.success(
        request,
        _("%(number)s placed with %(name)s. Send it to them now.")
        % {"number": order.number, "name": order.supplier_name},
    )
    return redirect("shop:order", order.number)


def _page(
    request: HttpRequest, form: HandOrderForm, lines: list[HandLineForm], status: int = 200
) -> HttpResponse:
    context: dict[str, Any] = {
        "form": form,
        "lines": lines,
        "items": Item.objects.order_by("code").values_list("code", "name")[:PROPOSED],
        "currency": workshop.currency(),
    }
    return render(request, "shop/orders/new.html", context, status=status)
