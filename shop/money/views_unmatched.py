"""Movements that wait for a person: booked for a job, split, taken as a bounce, told apart, set aside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from configurator.catalogue import workshop
from shop.jobs.access import staff
from shop.jobs.states import MANAGER

from . import selectors
from .forms_statements import AsideForm, MatchForm, ShareFormSet, shares_of
from .ledger import PaymentError
from .models import StatementEntry
from .statements import matching
from .statements.deciding import bounced_payments
from .statements.suggesting import Suggestion, suggestions

PAGE = 10


@staff(MANAGER)
@require_safe
def unmatched(request: HttpRequest) -> HttpResponse:
    """Show the movements that wait for a person, each with the likeliest jobs."""
    return _unmatched(request)


def _unmatched(
    request: HttpRequest, bound: dict[tuple[int, str], Any] | None = None, status: int = 200
) -> HttpResponse:
    bound = bound or {}
    asked = request.GET.get("page") or request.POST.get("page")
    page = Paginator(selectors.waiting_entries(), PAGE).get_page(asked)
    entries: list[StatementEntry] = list(page.object_list)
    # What was typed wrong is shown with its movement, also when that stands on another page by now.
    missing = [pk for pk, _name in bound if pk not in {entry.pk for entry in entries}]
    entries += list(StatementEntry.objects.select_related("file", "like__file").filter(pk__in=missing))
    likely = suggestions(entries)
    own = workshop.currency()
    context = {
        "rows": [_row(entry, likely.get(entry.pk, []), bound) for entry in entries],
        "page": page,
        "unmatched": selectors.open_count(),
        "own_currency": own,
    }
    return render(request, "shop/money/unmatched.html", context, status=status)


def _row(
    entry: StatementEntry, likely: list[Suggestion], bound: dict[tuple[int, str], Any]
) -> dict[str, Any]:
    shares = [{"job": one.job.number, "amount": one.outstanding or None} for one in likely]
    if sum(one.outstanding for one in likely[:2]) == entry.amount:
        shares = shares[:2]
    else:
        shares = [{"job": share["job"]} for share in shares[:2]]
    return {
        "entry": entry,
        "likely": likely,
        "bounced": bounced_payments(entry)[:4] if entry.amount < 0 and entry.state != "doubt" else [],
        "match": bound.get((entry.pk, "match")) or MatchForm(auto_id=f"id_{entry.pk}_%s"),
        "split": bound.get((entry.pk, "split")) or _share_set(entry, initial=shares),
        "aside": bound.get((entry.pk, "aside")) or AsideForm(auto_id=f"id_aside_{entry.pk}_%s"),
    }


def _share_set(entry: StatementEntry, data: Any = None, initial: Any = None) -> Any:
    prefix = f"share-{entry.pk}"
    if data is not None:
        return ShareFormSet(data, prefix=prefix)
    made = ShareFormSet(initial=initial, prefix=prefix)
    made.extra = max(0, 2 - len(initial or ())) + 1
    return made


def _acted(request: HttpRequest, key: tuple[int, str], form: Any, act: Callable[[], str]) -> HttpResponse:
    """Act on valid input and go back to the list; what is wrong is told with what was typed."""
    if form.is_valid():
        try:
            said = act()
        except PaymentError as error:
            if isinstance(form, Form):
                form.add_error(None, str(error))
            else:
                form.non_form_errors().append(str(error))
        else:
            messages.success(request, said)
            return redirect(_back(request))
    return _unmatched(request, {key: form}, 422)


def _back(request: HttpRequest) -> str:
    page = request.POST.get("page", "")
    return f"/workshop/money/unmatched/?page={page}" if page.isdecimal() else "shop:unmatched"


@staff(MANAGER)
@require_POST
def match(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Book a movement for the job that a person named."""
    entry = get_object_or_404(StatementEntry, pk=entry_id)
    form = MatchForm(request.POST, auto_id=f"id_{entry.pk}_%s")

    def act() -> str:
        job = form.cleaned_data["job"]
        matching.match_by_hand(entry_id=entry.pk, job_id=job.pk, by=request.user)
        values = {"amount": entry.amount, "currency": entry.currency, "number": job.number}
        return _("%(amount)s %(currency)s booked for %(number)s.") % values

    return _acted(request, (entry.pk, "match"), form, act)


@staff(MANAGER)
@require_POST
def split(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Book a movement for several jobs, each with its share."""
    entry = get_object_or_404(StatementEntry, pk=entry_id)
    formset = _share_set(entry, request.POST)

    def act() -> str:
        booked = matching.split_by_hand(entry_id=entry.pk, shares=shares_of(formset), by=request.user)
        return _("%(amount)s %(currency)s split over %(count)s jobs.") % {
            "amount": entry.amount,
            "currency": entry.currency,
            "count": len(booked),
        }

    return _acted(request, (entry.pk, "split"), formset, act)


@staff(MANAGER)
@require_POST
def bounce(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Say which payment a movement going out takes back."""
    entry = get_object_or_404(StatementEntry, pk=entry_id)
    told = request.POST.get("original", "")
    original = get_object_or_404(StatementEntry, pk=told if told.isdecimal() and len(told) < 18 else 0)
    try:
        matching.take_back_by_hand(entry_id=entry.pk, taken_back_id=original.pk, by=request.user)
        messages.warning(request, _("The payment is taken back. Look whether its job may go on."))
    except PaymentError as error:
        messages.error(request, str(error))
    return redirect(_back(request))


@staff(MANAGER)
@require_POST
def same(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Settle a doubt: the movement is known already, or it is another one."""
    entry = get_object_or_404(StatementEntry, pk=entry_id)
    try:
        if request.POST.get("is") == "another":
            matching.check_unsettled(entry)
            _another(request, entry)
        else:
            matching.same_movement(entry_id=entry.pk)
            messages.info(request, _("Taken as known already; it is not booked."))
    except PaymentError as error:
        messages.error(request, str(error))
    return redirect(_back(request))


def _another(request: HttpRequest, entry: StatementEntry) -> None:
    entry = matching.another_movement(entry_id=entry.pk)
    messages.info(request, _("Taken as a movement of its own: %(said)s.") % {"said": entry.said})


@staff(MANAGER)
@require_POST
def aside(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Take a movement off the list."""
    entry = get_object_or_404(StatementEntry, pk=entry_id)
    form = AsideForm(request.POST, auto_id=f"id_aside_{entry.pk}_%s")

    def act() -> str:
        matching.set_aside(entry_id=entry.pk, note=form.cleaned_data["note"])
        values = {"amount": entry.amount, "currency": entry.currency}
        return _("Set aside: %(amount)s %(currency)s. It stays on its statement.") % values

    return _acted(request, (entry.pk, "aside"), form, act)


@staff(MANAGER)
@require_POST
def reopen(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Undo a match, bring back what was set aside, or take a settled doubt as another movement.

    The button says as what it saw the movement: what a colleague made of it since is not undone unseen.
    """
    entry = get_object_or_404(StatementEntry, pk=entry_id)
    if entry.state in StatementEntry.WAITING:
        messages.info(request, _("It is open already and stands under “Not matched”."))
    elif request.POST.get("was", entry.state) != entry.state:
        messages.error(request, matching.settled_since(entry))
    else:
        try:
            _open_again(request, entry)
        except PaymentError as error:
            messages.error(request, str(error))
    return redirect("shop:statement", entry.file_id)


def _open_again(request: HttpRequest, entry: StatementEntry) -> None:
    if entry.state == StatementEntry.State.MATCHED:
        matching.unmatch(entry_id=entry.pk, by=request.user)
        messages.warning(request, _("Open again. The job and the ledger have followed."))
    elif entry.state == StatementEntry.State.KNOWN:
        _another(request, entry)
    else:
        matching.bring_back(entry_id=entry.pk)
        messages.info(request, _("Open again: it stands under “Not matched”."))
