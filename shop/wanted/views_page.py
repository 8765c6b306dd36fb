"""The customer's private page of a request: where it stands, a further word, withdrawing, beginning."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from configurator.pages.bounded import builds_sentence, refused, too_many
from configurator.pages.confirmed import remember_confirmed
from configurator.pictures.giving import give
from shop.jobs.errors import JobError
from shop.tracking.access import is_preview, private

from . import photos, service
from .forms import WithdrawForm, WordForm
from .models import REQUEST_LINK, RequestEntry, VehicleRequest
from .views import photo_bounds, remember
from .words import standing, too_many_photos, too_many_words

State = VehicleRequest.State


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, token: str) -> HttpResponseBase:
    """Show the request to whoever has its link, and take what its customer does."""
    row = VehicleRequest.objects.filter(REQUEST_LINK.q(token)).exclude(state=State.DRAFT).first()
    if row is None:
        raise Http404
    if request.method == "POST" and is_preview(request):
        raise PermissionDenied(_("You are signed in as staff: this page is the customer's, to look at."))
    if row.state == State.UNPROVED:
        return private(_prove(request, row))
    if request.method == "POST":
        act = ACTS.get(str(request.POST.get("do", "")), _write)
        return private(act(request, row))
    return private(_shown(request, row))


def _prove(request: HttpRequest, row: VehicleRequest) -> HttpResponse:
    """Show what is about to be sent; the button sends it. What merely follows links sends nothing."""
    if service.is_stale(row):
        return render(request, "wanted/late.html", status=410)
    if request.method != "POST":
        return render(request, "wanted/confirm.html", {"row": row})
    service.prove(row.pk)
    remember_confirmed(request, row.email)
    remember(request, row)
    messages.success(request, _("Thank you. Your request is with us."))
    return redirect("wanted:page", row.token)


def _write(request: HttpRequest, row: VehicleRequest) -> HttpResponse:
    """Take a further word and photos; what cannot be taken is told, and the word stays typed."""
    form = WordForm(request.POST)
    files = request.FILES.getlist("photos")
    if not form.is_valid():
        return _shown(request, row, 422, word=form)
    if wait := too_many(request, "words"):
        form.add_error("text", too_many_words(wait))
        return _shown(request, row, 429, word=form)
    wrong, status = _taken(request, row, files)
    text = form.cleaned_data["text"]
    if not text.strip() and files and not wrong:
        text = _("Photos added.")
    if wrong:
        return _shown(request, row, status, word=form, photo_errors=wrong)
    try:
        if service.write(request_id=row.pk, text=text, press=form.cleaned_data["press"]):
            messages.success(request, _("It is with us."))
    except JobError as error:
        form.add_error("text", str(error))
        return _shown(request, row, 422, word=form)
    return redirect("wanted:page", row.token)


def _taken(request: HttpRequest, row: VehicleRequest, files: list[Any]) -> tuple[list[str], int]:
    wrong: list[str] = []
    for file in files:
        if wait := too_many(request, "photos"):
            return [*wrong, too_many_photos(wait)], 429
        wrong += photos.taken(row, [file])
    return wrong, 422


def _withdraw(request: HttpRequest, row: VehicleRequest) -> HttpResponse:
    form = WithdrawForm(request.POST)
    if not form.is_valid():
        return _shown(request, row, 422, leave=form)
    if service.withdraw(row.pk):
        messages.success(request, _("The request is withdrawn."))
    return redirect("wanted:page", row.token)


def _begin(request: HttpRequest, row: VehicleRequest) -> HttpResponse:
    """Begin a build of the vehicle that was taken up."""
    if wait := too_many(request, "builds"):
        return refused(request, builds_sentence(wait), wait)
    if not service.can_begin(row):
        return redirect("wanted:page", row.token)
    spec = service.begin(row, language=get_language() or row.language)
    return redirect("configurator:build", spec.token)


ACTS = {"word": _write, "withdraw": _withdraw, "begin": _begin}


def _shown(request: HttpRequest, row: VehicleRequest, status: int = 200, **given: Any) -> HttpResponse:
    context = {
        "row": row,
        "preview": is_preview(request),
        "can_begin": service.can_begin(row),
        "now": standing(row, can_begin=service.can_begin(row)),
        "entries": row.entries.exclude(kind__in=(RequestEntry.Kind.CALL, RequestEntry.Kind.VEHICLE)),
        "photos": row.photos.all(),
        "word": WordForm(),
        "leave": WithdrawForm(),
        **photo_bounds(),
        **given,
    }
    return render(request, "wanted/page.html", context, status=status)


@require_safe
def photo(request: HttpRequest, token: str, photo: str, size: str) -> HttpResponseBase:
    """Give one photo to whoever has the request's link."""
    row = get_object_or_404(VehicleRequest, REQUEST_LINK.q(token))
    found = get_object_or_404(row.photos, token=photo)
    return private(give(found.thumbnail if size == "small" else found.image))
