"""Bank statements: a file is handed in, looked at, taken into the books or thrown away."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.jobs.access import staff
from shop.jobs.states import MANAGER

from . import selectors
from .forms_statements import ColumnsForm, StatementForm
from .models import CsvLayout, StatementDraft, StatementFile
from .statements.camt import looks_like_xml
from .statements.csv_layout import ChoiceNeededError, columns_of
from .statements.entries import StatementError
from .statements.headings import signature
from .statements.importing import import_statement, preview
from .statements.mt940_file import looks_like_mt940
from .statements.reading import as_layout
from .statements.table import open_table

PAGE = 30
DRAFTS_KEPT = timedelta(days=14)


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def statements(request: HttpRequest) -> HttpResponse:
    """Hand a statement in, and see those read before."""
    form = StatementForm(request.POST or None, request.FILES or None)
    if request.method == "POST":
        form = StatementForm(request.POST, request.FILES)
        if form.is_valid():
            file = form.cleaned_data["file"]
            StatementDraft.objects.filter(at__lt=timezone.now() - DRAFTS_KEPT).delete()
            draft = StatementDraft.objects.create(name=file.name[:200], data=file.read(), by=_person(request))
            return redirect("shop:draft", draft.pk)
    page = Paginator(StatementFile.objects.select_related("by"), PAGE).get_page(request.GET.get("page"))
    counts = selectors.entry_counts(page.object_list)
    context = {
        "form": form,
        "files": [(file, counts[file.pk]) for file in page.object_list],
        "page": page,
        "drafts": StatementDraft.objects.select_related("by").defer("data")[:PAGE],
        "unmatched": selectors.open_count(),
    }
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "shop/money/statements.html", context, status=status)


@staff(MANAGER)
@require_safe
def draft(request: HttpRequest, draft_id: int) -> HttpResponse:
    """What a file would do, or what has to be chosen before it can be read."""
    found = get_object_or_404(StatementDraft, pk=draft_id)
    data = bytes(found.data)
    context: dict[str, Any] = {"draft": found, "is_csv": _is_csv(data), "unmatched": selectors.open_count()}
    try:
        context["seen"] = preview(data)
    except ChoiceNeededError as error:
        context |= {"asked": error.faults, "columns": _columns_form(data)}
    except StatementError as error:
        context["faults"] = error.faults
        return render(request, "shop/money/draft.html", context, status=422)
    if "columns" in request.GET and context["is_csv"]:
        context["columns"] = _columns_form(data)
    return render(request, "shop/money/draft.html", context)


def _person(request: HttpRequest) -> User:
    assert isinstance(request.user, User)  # noqa: S101 - staff pages have someone signed in
    return request.user


def _is_csv(data: bytes) -> bool:
    return not looks_like_xml(data) and not looks_like_mt940(data)


def _columns_form(data: bytes, post: Any = None) -> ColumnsForm:
    table = open_table(data)
    layout = CsvLayout.objects.filter(heading=signature(table.heading)).first()
    return ColumnsForm(table, columns_of(table, as_layout(layout) if layout else None), layout, post)


@staff(MANAGER)
@require_POST
def columns(request: HttpRequest, draft_id: int) -> HttpResponse:
    """Remember which column holds what for files with this heading."""
    found = get_object_or_404(StatementDraft, pk=draft_id)
    try:
        form = _columns_form(bytes(found.data), request.POST)
    except StatementError:
        return redirect("shop:draft", found.pk)
    if not form.is_valid():
        context = {"draft": found, "is_csv": True, "columns": form, "unmatched": selectors.open_count()}
        return render(request, "shop/money/draft.html", context, status=422)
    CsvLayout.objects.update_or_create(
        heading=signature(form.table.heading),
        defaults={
            "name": form.cleaned_data["label"],
            "columns": form.columns(),
            "day_order": form.cleaned_data["day_order"],
            "decimal_mark": form.cleaned_data["decimal_mark"],
            "by": _person(request),
        },
    )
    messages.success(request, _("Remembered. The next file with these headings is read the same way."))
    return redirect("shop:draft", found.pk)


@staff(MANAGER)
@require_POST
def take_in(request: HttpRequest, draft_id: int) -> HttpResponse:
    """Take a looked-at file into the books."""
    found = StatementDraft.objects.filter(pk=draft_id).first()
    if found is None:
        messages.info(request, _("That file has been taken in or thrown away already."))
        return redirect("shop:statements")
    try:
        done = import_statement(name=found.name, data=bytes(found.data), by=request.user)
    except StatementError:
        return redirect("shop:draft", found.pk)
    found.delete()
    if not done.made:
        day = f"{timezone.localtime(done.file.at):%Y-%m-%d}"
        messages.info(request, _("This file was read before, on %(day)s.") % {"day": day})
    return redirect("shop:statement", done.file.pk)


@staff(MANAGER)
@require_POST
def throw_away(request: HttpRequest, draft_id: int) -> HttpResponse:
    """Drop a file that was handed in; nothing was booked."""
    with transaction.atomic():
        StatementDraft.objects.filter(pk=draft_id).delete()
    messages.info(request, _("Thrown away; nothing was booked."))
    return redirect("shop:statements")


@staff(MANAGER)
@require_safe
def statement(request: HttpRequest, file_id: int) -> HttpResponse:
    """What one statement brought."""
    file = get_object_or_404(StatementFile, pk=file_id)
    entries = file.entries.select_related("like__file").prefetch_related(
        "payments__job", "payments__undone_by"
    )
    page = Paginator(entries.order_by("booked_on", "pk"), 100).get_page(request.GET.get("page"))
    context = {
        "file": file,
        "page": page,
        "entries": page.object_list,
        "counts": selectors.entry_counts([file])[file.pk],
        "unmatched": selectors.open_count(),
    }
    return render(request, "shop/money/statement.html", context)
