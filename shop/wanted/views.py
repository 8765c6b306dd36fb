"""The note on a vehicle that is not listed: typed, put right, sent, proved by mail where mail goes out."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import get_language
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from configurator.pages.bounded import recipient_sentence, too_many
from configurator.pages.confirmed import is_confirmed, must_confirm
from configurator.visitors.limiting import wait_for

from . import photos, service
from .forms import OWN, AskForm
from .models import VehicleRequest
from .words import consent, too_many_photos, too_many_requests

SESSION_KEY, KEPT = "asked", 10
BEFORE = (VehicleRequest.State.DRAFT, VehicleRequest.State.UNPROVED)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: HttpRequest) -> HttpResponse:
    """Take the note. Photos that came with something wrong are kept for the next try."""
    if request.method != "POST":
        row = _unproved(request) if request.GET.get("change") else None
        return _shown(request, AskForm(initial=_initial(row)), row)
    form = AskForm(request.POST)
    press = str(request.POST.get("press", ""))[:40]
    row = VehicleRequest.objects.filter(press=press).first() if press else None
    if row is not None and row.state not in BEFORE:
        return _sent_already(request, row)
    row, refused, status = _with_photos(request, row, press)
    if not form.is_valid() or refused:
        return _shown(request, form, row, refused, status or 422)
    asked = form.asked()
    if sentence := _too_often(request, asked.email):
        form.add_error(None, sentence)
        return _shown(request, form, row, [], 429)
    row = service.send(
        press=press,
        asked=asked,
        language=_language(),
        consent_text=consent(),
        must_prove=bool(asked.email) and must_confirm(request, asked.email),
    )
    remember(request, row)
    return redirect("wanted:waiting") if row.state in BEFORE else redirect("wanted:page", row.token)


def _with_photos(
    request: HttpRequest, row: VehicleRequest | None, press: str
) -> tuple[VehicleRequest | None, list[str], int]:
    """Drop and take photos; return the draft that holds them, why some were refused, and the status."""
    if row is not None:
        photos.drop(row, request.POST.getlist("drop"))
    files = request.FILES.getlist("photos") if press else []
    refused: list[str] = []
    for file in files:
        if wait := too_many(request, "photos"):
            return row, [*refused, too_many_photos(wait)], 429
        row = row or service.draft_of(press, _language())
        refused += photos.taken(row, [file])
    if row is not None:
        remember(request, row)
    return row, refused, 0


def _too_often(request: HttpRequest, email: str) -> str:
    """Return why it is not sent now: too much came from here, or went to that address."""
    if wait := too_many(request, "requests"):
        return too_many_requests(wait)
    if email and not is_confirmed(request, email) and (wait := wait_for("recipient", email.casefold())):
        return recipient_sentence(wait)
    return ""


def _shown(
    request: HttpRequest,
    form: AskForm,
    row: VehicleRequest | None,
    refused: list[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "form": form,
        "photos": list(row.photos.all()) if row else [],
        "photo_errors": refused or [],
        "asked": _asked_here(request),
        **photo_bounds(),
    }
    return render(request, "wanted/ask.html", context, status=status)


def photo_bounds() -> dict[str, int]:
    """Return what the pages say of photos: how many, and how large."""
    return {
        "photo_limit": settings.KERBLINE_REQUEST_PHOTOS,
        "photo_mb": settings.KERBLINE_PHOTO_MAX_BYTES // 1_000_000,
    }


def _initial(row: VehicleRequest | None) -> dict[str, Any]:
    return {name: getattr(row, name) for name in (*OWN, "press")} if row else {}


def _language() -> str:
    return get_language() or "en-gb"


@never_cache
@require_safe
def waiting(request: HttpRequest) -> HttpResponse:
    """Say that the link in the mail is the last step, and what to do when no mail came."""
    row = _unproved(request)
    if row is None:
        return redirect("wanted:ask")
    return render(request, "wanted/waiting.html", {"row": row, "until": row.made_at + service.PROVED_WITHIN})


def _sent_already(request: HttpRequest, row: VehicleRequest) -> HttpResponse:
    """Lead the browser that may see the request to its page; tell another that the mail has the link."""
    if row.email and must_confirm(request, row.email):
        return render(request, "wanted/sent.html", {"row": row})
    return redirect("wanted:page", row.token)


def remember(request: HttpRequest, row: VehicleRequest) -> None:
    """Keep on this device which requests are its own, by key."""
    known = [one for one in request.session.get(SESSION_KEY, []) if one != row.pk]
    request.session[SESSION_KEY] = [row.pk, *known][:KEPT]


def _mine(request: HttpRequest) -> Any:
    return VehicleRequest.objects.filter(pk__in=request.session.get(SESSION_KEY, []))


def _unproved(request: HttpRequest) -> VehicleRequest | None:
    row: VehicleRequest | None = _mine(request).filter(state=VehicleRequest.State.UNPROVED).first()
    return row


def _asked_here(request: HttpRequest) -> list[VehicleRequest]:
    """Return what was asked on this device and may be opened from it without the mail."""
    rows = _mine(request).exclude(state__in=BEFORE)
    return [row for row in rows if not (row.email and must_confirm(request, row.email))]
