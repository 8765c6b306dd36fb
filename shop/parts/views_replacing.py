"""A part from another supplier or another part in its place, from goods-in; and parts back onto the shelf."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from shop.jobs.access import job_or_404, staff
from shop.jobs.errors import beside
from shop.jobs.models import Job
from shop.jobs.states import BUYER, MANAGER, TECHNICIAN

from .forms_replacing import PutBackForm, ReplaceForm
from .models import JobPart, PurchaseLine
from .putting_back import put_back, surplus
from .replacing import Instead, ReplaceError, replace, wanting
from .stock import StockError
from .views import show_job_parts


@staff(BUYER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def replace_part(request: HttpRequest, number: str, line_id: int) -> HttpResponse:
    """Have what an order line does not bring from elsewhere."""
    line = get_object_or_404(PurchaseLine.objects.select_related("order"), pk=line_id, order__number=number)
    parts = wanting(line)
    if not parts:
        messages.info(request, _("No job lacks this part any more."))
        return redirect("shop:order", number)
    part = parts[0]
    initial = {"unit_cost_net": part.unit_cost_net, "lead_time_days": part.lead_time_days}
    form = ReplaceForm(request.POST if request.method == "POST" else None, part=part, initial=initial)
    if form.is_bound and form.is_valid():
        data = form.cleaned_data
        try:
            replace(
                line_id=line.pk,
                instead=Instead(**{name: data[name] for name in Instead.__dataclass_fields__}),
                why=data["why"],
                by=request.user,
                press=data["press"],
            )
        except ReplaceError as error:
            beside(form, error)
        else:
            messages.success(request, _("It is replaced and stands under Parts, to be ordered."))
            return redirect("shop:parts")
    context: dict[str, Any] = {"order": line.order, "line": line, "parts": parts, "form": form}
    return render(request, "shop/orders/replace.html", context, status=422 if form.errors else 200)


@staff(BUYER, TECHNICIAN, MANAGER)
@require_POST
def back_to_shelf(request: HttpRequest, number: str) -> HttpResponse:
    """Put what a job does not need back onto the shelf."""
    job = job_or_404(request, number)
    form = PutBackForm(request.POST)
    valid = form.is_valid()
    part = job.parts.filter(pk=form.cleaned_data.get("part") or 0).first()
    if part is None:
        messages.error(request, _("Nothing was put back: that line is not of this job."))
        return redirect("shop:job_parts", number)
    if not valid:
        return _refused(request, job, part, form)
    data = form.cleaned_data
    try:
        did = put_back(part_id=part.pk, quantity=data["quantity"], issued=data["issued"], by=request.user)
    except StockError as error:
        form.add_error("quantity", str(error))
        return _refused(request, job, part, form)
    said = _("It is back on the shelf.") if did else _("That was put back already.")
    messages.success(request, said)
    return redirect("shop:job_parts", number)


def _refused(request: HttpRequest, job: Job, part: JobPart, form: PutBackForm) -> HttpResponse:
    """Show the list again with what was typed and why it was refused."""
    if not surplus(part, job):
        # Its row is gone from the page, so nothing stands beside a field.
        messages.error(request, _("Nothing was put back: nothing is left over of this part any more."))
    return show_job_parts(request, job, form, 422)
