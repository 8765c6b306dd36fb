"""Pages of suppliers' price lists: handed in, matched, read, looked at, confirmed or thrown away."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.catalogue.workshop import currency

from . import list_applying, list_reading
from .access import looks
from .choosing import rows_of
from .forms_lists import LayoutForm, UploadForm
from .list_cells import ListError, fault_words
from .models import PriceLayout, PriceLine, PriceList
from .progress import percent
from .views_lists import frame

PAGE, SAMPLE = 50, 5
State, Verdict = PriceList.State, PriceLine.Verdict
WHY: dict[str, Any] = {
    "no_ref": gettext_lazy("there is no supplier’s number"),
    "no_cost": gettext_lazy("“%(figure)s” is no price"),
    "currency": gettext_lazy("the currency is %(figure)s"),
    "unit": gettext_lazy("the unit “%(figure)s” is not known"),
    "per": gettext_lazy("“%(figure)s” is no quantity that a price is for"),
    "group": gettext_lazy("there is no discount for the group “%(figure)s”"),
    "too_much": gettext_lazy("“%(figure)s” is more than anything costs"),
    "twice": gettext_lazy("the number %(figure)s comes more than once"),
    "no_name": gettext_lazy("it is new and has no name"),
    "no_price": gettext_lazy("it is new and no margin gives its price"),
    "meanwhile": gettext_lazy("somebody changed it meanwhile; it is left as it is"),
    "taken": gettext_lazy("its code is taken already"),
    "used": gettext_lazy("recipes, options or rules still need it"),
}


@looks
@require_http_methods(["GET", "HEAD", "POST"])
def lists(request: HttpRequest) -> HttpResponse:
    """Hand a list in, and see those there are."""
    form = UploadForm(request.POST or None, request.FILES or None)
    if request.method == "POST":
        form = UploadForm(request.POST, request.FILES)
        if form.is_valid():
            file = form.cleaned_data["file"]
            found = PriceList.objects.create(
                supplier=form.cleaned_data["supplier"],
                name=file.name.replace("\x00", "")[:200],
                data=file.read(),
                by_id=request.user.pk,
            )
            return redirect("shop:range_columns", found.pk)
    names = dict(rows_of("suppliers"))
    page = Paginator(PriceList.objects.defer("data").select_related("by"), PAGE).get_page(
        request.GET.get("page")
    )
    context = {
        "form": form,
        "page": page,
        "lists": [(one, names.get(one.supplier, one.supplier)) for one in page.object_list],
        "kept": "",
        **frame(request),
    }
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "shop/range/lists.html", context, status=status)


@looks
@require_http_methods(["GET", "HEAD", "POST"])
def columns(request: HttpRequest, list_id: int) -> HttpResponse:
    """Match the columns of a list once for its supplier; then it is read."""
    found = get_object_or_404(PriceList, pk=list_id)
    if found.state not in (State.UPLOADED, State.READY, State.FAILED):
        return redirect("shop:range_list", found.pk)
    try:
        _number, heading, rows = list_reading.opened(found)
        sample = list(islice(rows, SAMPLE))
    except ListError as error:
        PriceList.objects.filter(pk=found.pk).update(
            state=State.FAILED, problem=error.fault, figure=error.figure
        )
        return redirect("shop:range_list", found.pk)
    layout = PriceLayout.objects.filter(supplier=found.supplier).first()
    layout = layout or PriceLayout(supplier=found.supplier, currency=currency())
    form = LayoutForm(request.POST or None, instance=layout, heading=heading)
    if request.method == "POST" and form.is_valid():
        form.save()
        list_reading.read_anew(found.pk)
        return redirect("shop:range_list", found.pk)
    context = {
        "list": found,
        "form": form,
        "matched": [form[name] for name in form.fields if name.startswith("column-")],
        "others": [form[name] for name in form.fields if not name.startswith("column-")],
        "heading": heading,
        "sample": [cells for _number, cells in sample],
        **frame(request),
    }
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "shop/range/columns.html", context, status=status)


@looks
@require_safe
def one_list(request: HttpRequest, list_id: int) -> HttpResponse:
    """Show how far a list is, and what it would change."""
    found = get_object_or_404(PriceList.objects.defer("data").select_related("by", "release"), pk=list_id)
    told = dict(found.lines.order_by().values_list("verdict").annotate(n=Count("pk")))
    verdict = request.GET.get("verdict", "")
    verdict = (
        verdict if verdict in Verdict.values else next((one for one in Verdict.values if told.get(one)), "")
    )
    page = Paginator(found.lines.filter(verdict=verdict), PAGE).get_page(request.GET.get("page"))
    layout = PriceLayout.objects.filter(supplier=found.supplier).first()
    context = {
        "list": found,
        "layout": layout,
        "fault": fault_words(found.problem, found.figure),
        "supplier": dict(rows_of("suppliers")).get(found.supplier, found.supplier),
        "counts": [(one, label, told.get(one, 0)) for one, label in Verdict.choices],
        "verdict": verdict,
        "lines": list(_worded(page.object_list)),
        "page": page,
        "kept": f"verdict={verdict}",
        "percent": found.rows_read * 100 // found.rows_total if found.rows_total else 0,
        "live_percent": percent(list_applying.LIVE, found.pk),
        "changes": _changes(told, layout),
        **frame(request),
    }
    is_part = request.headers.get("HX-Request") and found.state in (State.READING, State.CONFIRMED)
    template = "shop/range/list_progress.html" if is_part else "shop/range/list.html"
    answer = render(request, template, context)
    if request.headers.get("HX-Request") and not is_part:
        answer["HX-Refresh"] = "true"
    return answer


def _changes(told: dict[str, int], layout: PriceLayout | None) -> int:
    """Return how many rows confirming would change."""
    if layout is None:
        return 0
    new = told.get(Verdict.NEW, 0) if layout.adds_new else 0
    gone = told.get(Verdict.GONE, 0) if layout.retires_gone else 0
    return told.get(Verdict.CHANGED, 0) + new + gone


def _worded(lines: Any) -> Iterator[tuple[PriceLine, str]]:
    for line in lines:
        yield line, str(WHY[line.why]) % {"figure": line.figure} if line.why in WHY else ""


@looks
@require_POST
def confirm(request: HttpRequest, list_id: int) -> HttpResponse:
    """Have a list put live in the background."""
    get_object_or_404(PriceList.objects.only("pk"), pk=list_id)
    seen = request.POST.get("seen", "")
    reading = int(seen) if seen.isascii() and seen.isdecimal() and len(seen) < 9 else None
    if list_applying.confirm(list_id=list_id, by=request.user, seen=reading):
        messages.success(request, _("It is being put live; until then everything stays as it is."))
    else:
        said = _("This list is not waiting to be confirmed, or was read anew since: look at what it changes.")
        messages.info(request, said)
    return redirect("shop:range_list", list_id)


@looks
@require_POST
def throw_list_away(request: HttpRequest, list_id: int) -> HttpResponse:
    """Throw a list away that is not live."""
    open_ones = (State.UPLOADED, State.READING, State.READY, State.FAILED)
    done = PriceList.objects.filter(pk=list_id, state__in=open_ones).update(state=State.THROWN, data=b"")
    if done:
        PriceLine.objects.filter(list_id=list_id).delete()
        messages.success(request, _("The list is thrown away; nothing was changed."))
    return redirect("shop:range_lists")
