"""Requests for staff: the list, one noted for a caller, one with everything that can be done to it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.catalogue import snapshot
from configurator.catalogue.selectors import unmeasured_axles
from configurator.pictures.giving import give
from shop.jobs.access import staff
from shop.jobs.errors import JobError, StaleError, UnmetError
from shop.jobs.roles import roles_of
from shop.jobs.states import MANAGER, REVIEWER

from . import deeds, mailing, selectors, service
from .forms import AskForm, DeedForm, VehicleForm
from .models import RequestMail, VehicleRequest

PAGE = 20
LISTS = {"": selectors.open_ones, "waiting": selectors.waiting, "over": selectors.over}
Deed = Callable[..., bool]


@staff(REVIEWER, MANAGER)
@require_safe
def requests(request: HttpRequest) -> HttpResponse:
    """Show what is asked for: what waits for us, all that is open, and what is over."""
    show = request.GET.get("show", "")
    chosen = LISTS.get(show, selectors.open_ones)()
    page = Paginator(chosen.order_by("-asks_us", "-pk"), PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "show": show if show in LISTS else "",
        "kept": f"show={show}" if show in LISTS else "",
        "counts": {name or "open": find().count() for name, find in LISTS.items()},
        "waiting": set(selectors.waiting().values_list("pk", flat=True)),
    }
    return render(request, "shop/wanted/list.html", context)


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Note a request for somebody who called or came by."""
    form = AskForm(request.POST or None, by_staff=True)
    if request.method == "POST" and form.is_valid():
        row = service.send(
            press=form.cleaned_data["press"],
            asked=form.asked(),
            language=get_language() or "en-gb",
            consent_text=str(form.fields["consent"].label),
            must_prove=False,
            noted_by=request.user,
        )
        return redirect("shop:wanted_one", row.pk)
    return render(request, "shop/wanted/new.html", {"form": form}, status=422 if form.errors else 200)


def _found(pk: int) -> VehicleRequest:
    return get_object_or_404(selectors.requests().select_related("noted_by"), pk=pk)


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def one(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one request and do what a button says; what is wrong is told beside its field."""
    row = _found(pk)
    if request.method != "POST":
        return _page(request, row)
    do = str(request.POST.get("do", ""))
    if do == "vehicle":
        return _name_vehicle(request, row)
    if do not in DEEDS:
        return redirect("shop:wanted_one", pk)
    form = _form(row, do, request.POST)
    if not form.is_valid():
        return _page(request, row, 422, **{do: form})
    try:
        if _done(request, row, do, form):
            messages.success(request, SAID[do]())
    except StaleError as error:
        # Their words stay; the page now counts as read up to what was added.
        form.data = {**{name: form.data[name] for name in form.data}, f"{do}-seen": _last(row)}
        form.add_error(None, str(error))
        return _page(request, row, 409, **{do: form})
    except JobError as error:
        form.add_error("text" if isinstance(error, UnmetError) else None, str(error))
        return _page(request, row, 422, **{do: form})
    return redirect("shop:wanted_one", pk)


def _done(request: HttpRequest, row: VehicleRequest, do: str, form: DeedForm) -> bool:
    data: dict[str, Any] = form.cleaned_data
    if do == "nothing":
        return deeds.nothing_to_answer(request_id=row.pk, seen=data["seen"])
    deed = DEEDS[do]
    return deed(request_id=row.pk, text=data["text"], seen=data["seen"], press=data["press"], by=request.user)


DEEDS: dict[str, Deed] = {
    "answer": deeds.answer,
    "call": deeds.note_call,
    "take": deeds.take_up,
    "decline": deeds.decline,
    "tell": deeds.tell_ready,
    "nothing": deeds.nothing_to_answer,
}
SAID: dict[str, Callable[[], str]] = {
    "answer": lambda: _("The answer is on its way."),
    "call": lambda: _("The call is noted."),
    "take": lambda: _("Taken up. Enter the vehicle next, or choose it from the catalogue."),
    "decline": lambda: _("Declined."),
    "tell": lambda: _("The customer is told; the request is done."),
    "nothing": lambda: _("It waits for us no more."),
}
LABELS: dict[str, Callable[[], tuple[str, ...]]] = {
    "answer": lambda: (
        _("Your answer"),
        _("Goes out by mail and stands on the customer’s page."),
        _("Write something."),
    ),
    "call": lambda: (_("What was said"), _("Only staff see it."), _("Note what was said.")),
    "take": lambda: (_("A word with it"), _("Need not be; the customer reads it.")),
    "decline": lambda: (
        _("Why"),
        _("A friendly word; the customer reads it."),
        _("Write a word why; the customer reads it."),
    ),
    "tell": lambda: (_("A word with it"), _("Need not be; the customer reads it.")),
    "nothing": lambda: ("", ""),
}


def _form(row: VehicleRequest, do: str, data: Any = None) -> DeedForm:
    words = dict(zip(("label", "help_text", "missing"), LABELS[do](), strict=False))
    return DeedForm(data, prefix=do, initial={"seen": _last(row)}, **words)


def _last(row: VehicleRequest) -> int:
    return row.entries.order_by("-pk").values_list("pk", flat=True).first() or 0


def _name_vehicle(request: HttpRequest, row: VehicleRequest) -> HttpResponse:
    form = VehicleForm(request.POST)
    if not form.is_valid():
        return _page(request, row, 422, vehicle=form)
    try:
        deeds.name_vehicle(request_id=row.pk, generation=form.cleaned_data["generation"], by=request.user)
    except JobError as error:
        form.add_error("generation", str(error))
        return _page(request, row, 422, vehicle=form)
    return redirect("shop:wanted_one", row.pk)


def _page(request: HttpRequest, row: VehicleRequest, status: int = 200, **forms: Any) -> HttpResponse:
    row.refresh_from_db()
    catalogue = snapshot.current()
    generation = catalogue.generations.get(row.generation)
    entries = [(entry, _told(entry, catalogue)) for entry in row.entries.select_related("by")]
    context = {
        "row": row,
        "entries": entries,
        "photos": row.photos.all(),
        "mails": row.mails.all(),
        "others": selectors.others_of(row)[:10],
        "generation": generation,
        "unmeasured": unmeasured_axles(catalogue, row.generation) if generation else [],
        "vehicle": VehicleForm(initial={"generation": row.generation}),
        **{name: _form(row, name) for name in DEEDS},
        **forms,
        "may_forget": MANAGER in roles_of(request.user),
        "opened": next(iter(forms), ""),
    }
    return render(request, "shop/wanted/one.html", context, status=status)


def _told(entry: Any, catalogue: Any) -> str:
    """Return an entry's words; a vehicle that was named by its name."""
    return str(catalogue.generations.get(entry.text, entry.text)) if entry.kind == "vehicle" else entry.text


@staff(REVIEWER, MANAGER)
@require_safe
def photo(request: HttpRequest, pk: int, photo_id: int, size: str) -> HttpResponseBase:
    """Give one photo."""
    found = get_object_or_404(_found(pk).photos, pk=photo_id)
    return give(found.thumbnail if size == "small" else found.image)


@staff(REVIEWER, MANAGER)
@require_POST
def mail_again(request: HttpRequest, pk: int, mail_id: int) -> HttpResponse:
    """Try a mail again that was given up."""
    mail = get_object_or_404(RequestMail, pk=mail_id, request=_found(pk))
    if mailing.try_again(mail.pk):
        messages.success(request, _("The mail is tried again."))
    return redirect("shop:wanted_one", pk)


@staff(MANAGER)
@require_POST
def forget(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a request for good, as its customer may ask by telephone."""
    row = _found(pk)
    if request.POST.get("sure") != "on":
        messages.warning(request, _("Tick the box first: it cannot be undone."))
        return redirect("shop:wanted_one", pk)
    deeds.forget(row.pk)
    messages.success(request, _("The request is deleted."))
    return redirect("shop:wanted")
