"""Bank statements: reading one, what it brought, and what waits for a person."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.jobs.access import staff
from shop.jobs.states import MANAGER

from . import selectors
from .forms import AsideForm, MatchForm, StatementForm
from .ledger import PaymentError
from .models import StatementEntry, StatementFile
from .statements.entries import StatementError
from .statements.importing import import_statement
from .statements.matching import bring_back, match_by_hand, set_aside, suggestions, unmatch

PAGE = 30


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def statements(request: HttpRequest) -> HttpResponse:
    """Read a statement, and see those read before."""
    form = StatementForm()
    faults: tuple[Any, ...] = ()
    status = 200
    if request.method == "POST":
        form = StatementForm(request.POST, request.FILES)
        status = 422
        if form.is_valid():
            file = form.cleaned_data["file"]
            try:
                done = import_statement(name=file.name, data=file.read(), by=request.user)
            except StatementError as error:
                faults = error.faults
                form.add_error("file", "This file was not read; nothing was changed.")
            else:
                if not done.made:
                    messages.info(request, f"This file was read before, on {done.file.at:%d %b %Y}.")
                if done.pending:
                    messages.info(request, f"{done.pending} movements are not booked yet and were left out.")
                return redirect("shop:statement", done.file.pk)
    page = Paginator(StatementFile.objects.select_related("by"), PAGE).get_page(request.GET.get("page"))
    counts = selectors.entry_counts(page.object_list)
    files = [(file, counts[file.pk]) for file in page.object_list]
    context = {"form": form, "faults": faults, "files": files, "page": page}
    return render(
        request,
        "shop/money/statements.html",
        context | {"unmatched": len(selectors.open_entries())},
        status=status,
    )


@staff(MANAGER)
@require_safe
def statement(request: HttpRequest, file_id: int) -> HttpResponse:
    """What one statement brought."""
    file = get_object_or_404(StatementFile, pk=file_id)
    entries = file.entries.prefetch_related("payments__job", "refund").order_by("state", "booked_on", "pk")
    context = {
        "file": file,
        "entries": entries,
        "counts": selectors.entry_counts([file])[file.pk],
        "unmatched": len(selectors.open_entries()),
    }
    return render(request, "shop/money/statement.html", context)


@staff(MANAGER)
@require_safe
def unmatched(request: HttpRequest) -> HttpResponse:
    """Movements that wait for a person, each with the likeliest jobs."""
    return _unmatched(request, {})


def _unmatched(request: HttpRequest, bound: dict[int, MatchForm], status: int = 200) -> HttpResponse:
    requests = selectors.open_requests()
    now = selectors.accounts(request.job_id for request in requests)
    outstanding = {pk: found.outstanding for pk, found in now.items()}
    rows = [
        (
            entry,
            suggestions(entry, requests, outstanding) if entry.amount > 0 else [],
            bound.get(entry.pk) or MatchForm(auto_id=f"id_{entry.pk}_%s"),
            AsideForm(auto_id=f"id_aside_{entry.pk}_%s"),
        )
        for entry in selectors.open_entries()
    ]
    context = {"rows": rows, "unmatched": len(rows)}
    return render(request, "shop/money/unmatched.html", context, status=status)


@staff(MANAGER)
@require_POST
def match(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Book a movement for the job that a person named."""
    entry = get_object_or_404(StatementEntry, pk=entry_id)
    form = MatchForm(request.POST, auto_id=f"id_{entry.pk}_%s")
    if form.is_valid():
        job = form.cleaned_data["job"]
        try:
            match_by_hand(entry_id=entry.pk, job_id=job.pk, by=request.user)
        except PaymentError as error:
            form.add_error("job", str(error))
        else:
            messages.success(request, f"{entry.amount} {entry.currency} booked for {job.number}.")
            return redirect("shop:unmatched")
    return _unmatched(request, {entry.pk: form}, 422)


@staff(MANAGER)
@require_POST
def aside(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Take a movement off the list."""
    form = AsideForm(request.POST)
    note = form.cleaned_data["note"] if form.is_valid() else ""
    entry = set_aside(entry_id=get_object_or_404(StatementEntry, pk=entry_id).pk, note=note)
    messages.info(request, f"Set aside: {entry.amount} {entry.currency}. It stays on its statement.")
    return redirect("shop:unmatched")


@staff(MANAGER)
@require_POST
def reopen(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Undo a match, or bring back what was set aside."""
    entry = get_object_or_404(StatementEntry, pk=entry_id)
    try:
        if entry.state == StatementEntry.State.MATCHED:
            unmatch(entry_id=entry.pk, by=request.user)
        else:
            bring_back(entry_id=entry.pk)
        messages.warning(request, "Open again. A job that had moved on stays where it is.")
    except PaymentError as error:
        messages.error(request, str(error))
    return redirect("shop:statement", entry.file_id)
