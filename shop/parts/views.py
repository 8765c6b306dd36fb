"""The buyer's pages: what to order, what is on the shelves, a job's parts list."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.catalogue import workshop
from shop.jobs.access import download, job_or_404, sees_customer, staff
from shop.jobs.models import Job
from shop.jobs.roles import roles_of
from shop.jobs.states import BUYER, MANAGER, TECHNICIAN

from . import selectors, shortages
from .csv_export import parts_csv, parts_zip
from .forms import CountForm, FindStockForm, PlaceForm
from .forms_replacing import PutBackForm
from .models import JobPart, StockLevel, WaitingJob
from .ordering import Need
from .putting_back import surplus_parts
from .quantities import plain
from .service import NothingToOrderError, OrderError, StockError, count, place_order, plan_orders

PAGE = 40
SUPPLIERS = 10
MAY_PUT_BACK = frozenset({BUYER, TECHNICIAN, MANAGER})


def may_buy(request: HttpRequest) -> bool:
    """Whether this person orders and counts; others look."""
    return bool(roles_of(request.user) & {BUYER, MANAGER})


@staff()
@require_safe
def parts(request: HttpRequest) -> HttpResponse:
    """Parts to order by supplier, and the jobs that wait."""
    return _parts(request, {})


def _parts(request: HttpRequest, bound: dict[str, PlaceForm], status: int = 200) -> HttpResponse:
    """Show what is to be ordered: the most urgent lines of each supplier, or all of one, a page at a time."""
    shortages.refresh()
    one = next(iter(bound), request.GET.get("supplier", "").replace("\x00", "")[:60])
    rows, number = selectors.short_by_supplier(), request.GET.get("page")
    if one:
        page: Page[Any] = Paginator(selectors.short_lines(one), selectors.LINES).get_page(number)
        found = selectors.suppliers_short(rows.filter(supplier=one), page)
    else:
        page = Paginator(rows, SUPPLIERS).get_page(number)
        found = selectors.suppliers_short(page)
    if bound and not found:
        messages.info(request, _("Nothing is left to order from this supplier."))
    context = {
        "groups": [(group, bound.get(group.code) or _form(group)) for group in found],
        "one": one,
        "page": page,
        "kept": urlencode({"supplier": one}) if one else "",
        "waiting": [] if one else selectors.waiting_jobs(),
        "waiting_count": WaitingJob.objects.count(),
        "may_buy": may_buy(request),
        "currency": workshop.currency(),
    }
    return render(request, "shop/parts/parts.html", context, status=status)


def _form(group: selectors.SupplierShort) -> PlaceForm:
    return PlaceForm(initial={"supplier": group.code}, prefix=group.code, needs=group.needs)


@staff(BUYER, MANAGER)
@require_POST
def place(request: HttpRequest, supplier: str) -> HttpResponse:
    """Place the order that the button is for."""
    form = PlaceForm(request.POST, prefix=supplier, needs=_needs(request, supplier))
    if not form.is_valid():
        return _parts(request, {supplier: form}, 422)
    try:
        order = place_order(
            supplier=supplier,
            by=request.user,
            press=form.cleaned_data["press"],
            note=form.cleaned_data["note"],
            chosen=None if "all" in request.POST else form.chosen(),
        )
    except OrderError as error:
        return _parts(request, {supplier: _again(request, supplier, error)}, 422)
    except NothingToOrderError as error:
        messages.info(request, _("%(error)s Perhaps a colleague was faster.") % {"error": error})
        return redirect("shop:parts")
    messages.success(
        request,
        _("%(number)s placed with %(name)s. Send it to them now.")
        % {"number": order.number, "name": order.supplier_name},
    )
    return redirect("shop:order", order.number)


def _needs(request: HttpRequest, supplier: str) -> list[Need]:
    """Return what is to be ordered now, of the lines that were on the page that was sent."""
    needs = [need for group in plan_orders(supplier=supplier) for need in group.needs]
    if "all" in request.POST:
        return []
    shown = [need for need in needs if f"{supplier}-quantity-{need.part.pk}" in request.POST]
    return shown or needs


def _again(request: HttpRequest, supplier: str, error: OrderError) -> PlaceForm:
    """Return the form with what was typed, against what is short now: sent once more, it is judged anew."""
    needs = _needs(request, supplier)
    data = request.POST.copy()
    for need in needs:
        key = need.part.pk
        data[f"{supplier}-seen-{key}"] = f"{need.quantity:f}"
        data.setdefault(f"{supplier}-quantity-{key}", f"{need.quantity.normalize():f}")
        data.setdefault(f"{supplier}-price-{key}", f"{need.part.unit_cost_net.normalize():f}")
    form = PlaceForm(data, prefix=supplier, needs=needs)
    form.is_valid()
    form.blame(error.lines)
    form.add_error(None, str(error))
    return form


@staff()
@require_http_methods(["GET", "HEAD", "POST"])
def stock(request: HttpRequest) -> HttpResponse:
    """What is on the shelves; the buyer counts."""
    if request.method == "POST":
        return _count(request)
    return _stock(request, None)


def _stock(request: HttpRequest, counted: CountForm | None, status: int = 200) -> HttpResponse:
    form = FindStockForm(request.GET or None)
    words = form.cleaned_data["q"] if form.is_bound and form.is_valid() else ""
    page = Paginator(selectors.found_levels(words), PAGE).get_page(request.GET.get("page"))
    rows = [(row, _count_form(row, counted)) for row in selectors.stock_rows(list(page.object_list))]
    context: dict[str, Any] = {"form": form, "page": page, "rows": rows, "words": words}
    return render(request, "shop/parts/stock.html", context | {"may_buy": may_buy(request)}, status=status)


def _count_form(row: selectors.StockRow, counted: CountForm | None) -> CountForm:
    """Return the row's own form: what was typed for it, or its present figures."""
    if counted is not None and counted.data.get("sku") == row.level.sku:
        return counted
    level = plain(row.level.quantity)
    initial = {"sku": row.level.sku, "seen": level, "quantity": level, "shelf": row.level.shelf}
    return CountForm(initial=initial, auto_id=f"id_{row.level.pk}_%s")


def _count(request: HttpRequest) -> HttpResponse:
    if not may_buy(request):
        return render(request, "403.html", status=403)
    level = get_object_or_404(StockLevel, sku=request.POST.get("sku", "").replace("\x00", "")[:160])
    form = CountForm(request.POST, auto_id=f"id_{level.pk}_%s")
    if not form.is_valid():
        return _stock(request, form, 422)
    try:
        count(
            sku=level.sku,
            quantity=form.cleaned_data["quantity"],
            by=request.user,
            note=form.cleaned_data["note"],
            seen=form.cleaned_data["seen"],
        )
    except StockError as error:
        form.add_error("quantity", str(error))
        form.data = request.POST.copy()
        form.data["seen"] = plain(StockLevel.objects.get(pk=level.pk).quantity)
        return _stock(request, form, 422)
    StockLevel.objects.filter(pk=level.pk).update(shelf=form.cleaned_data["shelf"])
    messages.success(request, _("%(part)s: counted.") % {"part": selectors.stock_rows([level])[0].name})
    return redirect(request.get_full_path())


@staff()
@require_safe
def job_parts(request: HttpRequest, number: str) -> HttpResponse:
    """One job's parts list with where every line stands."""
    return show_job_parts(request, job_or_404(request, number))


def show_job_parts(
    request: HttpRequest, job: Job, bound: PutBackForm | None = None, status: int = 200
) -> HttpResponse:
    """Show the list; ``bound`` is a form of putting back with something wrong in it, as it was typed."""
    rows = selectors.job_rows(job)
    suppliers = dict(sorted((row.part.supplier, row.part.supplier_name) for row in rows))
    context = {
        "job": job,
        "revision": job.revision,
        "rows": rows,
        "suppliers": suppliers,
        "surplus": _surplus(job, bound) if roles_of(request.user) & MAY_PUT_BACK else [],
        "sees_money": sees_customer(request.user),
    }
    return render(request, "shop/parts/job.html", context, status=status)


def _surplus(job: Job, bound: PutBackForm | None) -> list[tuple[JobPart, Decimal, PutBackForm]]:
    return [(part, left, PutBackForm.of(part, left, bound)) for part, left in surplus_parts(job)]


@staff()
@require_safe
def job_csv(request: HttpRequest, number: str, supplier: str) -> HttpResponse:
    """One job's list for one supplier as CSV."""
    job = job_or_404(request, number)
    if not job.parts.filter(supplier=supplier, dropped=False).exists():
        raise Http404("This job has nothing from that supplier.")
    return download(parts_csv(job, supplier), f"{job.number}-{supplier}.csv", "text/csv; charset=utf-8")


@staff()
@require_safe
def job_zip(request: HttpRequest, number: str) -> HttpResponse:
    """One job's lists, a CSV file for each supplier."""
    job = job_or_404(request, number)
    return download(parts_zip(job), f"{job.number}-parts.zip", "application/zip")
