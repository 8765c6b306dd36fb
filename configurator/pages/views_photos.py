"""A build's photos: taken in one by one or several at once, shown, turned, removed."""

from __future__ import annotations

from contextlib import suppress

from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_POST, require_safe

from configurator.builds import service
from configurator.builds.models import BUILD_LINK, Photo, Spec
from configurator.builds.photos import remove_photo, rotate_photo
from configurator.pictures.giving import give

from .bounded import photos_sentence, too_many
from .gone import while_listed
from .page import back_to, open_page, save, show
from .sent import already_sent
from .taking import taken


@require_POST
@while_listed
def add(request: HttpRequest, token: str) -> HttpResponse:
    """Take photos in; a script sends one at a time and wants only its list item back."""
    if request.headers.get("X-Kerbline") == "photo":
        return _add_one(request, get_object_or_404(Spec, BUILD_LINK.q(token)))
    page = open_page(request, token)
    if page.spec.sent_at:
        return already_sent(request, page.spec)
    if page.form.is_valid():
        save(page, page.form.selection())
    files = request.FILES.getlist("photos")
    refused = []
    for file in files:
        if wait := too_many(request, "photos"):
            page.status = 429
            refused.append(photos_sentence(wait))
            break
        refused += [message] if (message := taken(page.spec, file)[1]) else []
    if not files:
        refused = [gettext("Choose at least one photo first.")]
    if not refused:
        return back_to(page, opened="photos", place="s-photos")
    page.status, page.photo_errors = 429 if page.status == 429 else 422, refused
    return show(page, service.look_at(page.spec))


def _add_one(request: HttpRequest, spec: Spec) -> HttpResponse:
    file = request.FILES.get("photos")
    if not isinstance(file, UploadedFile):
        return _refused(gettext("Choose at least one photo first."))
    if wait := too_many(request, "photos"):
        return _refused(photos_sentence(wait), 429)
    photo, message = taken(spec, file)
    if photo is None:
        return _refused(message)
    photo.refresh_from_db()
    return render(request, "configurator/photo.html", {"photo": photo, "spec": spec})


def _refused(message: str, status: int = 422) -> HttpResponse:
    """Say why, in words that a script shows as they are."""
    return HttpResponse(message, status=status, content_type="text/plain; charset=utf-8")


@require_safe
def item(request: HttpRequest, token: str, photo: str) -> HttpResponse:
    """Return one photo's list item, for a script that waits until it is ready; a person sees the build."""
    row = _photo(token, photo)
    if request.headers.get("X-Kerbline") != "photo":
        return redirect("configurator:build", row.spec.token)
    return render(request, "configurator/photo.html", {"photo": row, "spec": row.spec})


@require_safe
@cache_control(private=True, max_age=3600)
def image(request: HttpRequest, token: str, photo: str) -> FileResponse:
    """Return the small clean copy."""
    row = _photo(token, photo)
    if row.state != Photo.State.READY:
        raise Http404
    return give(row.thumbnail)


@require_POST
@while_listed
def rotate(request: HttpRequest, token: str, photo: str) -> HttpResponse:
    """Turn it clockwise by a quarter."""
    rotate_photo(photo_id=_photo(token, photo).pk)
    return _changed(request, token, photo)


@require_POST
@while_listed
def remove(request: HttpRequest, token: str, photo: str) -> HttpResponse:
    """Remove it for good; removing it twice removes it once."""
    row = Photo.objects.filter(BUILD_LINK.q(token, through="spec__"), token=photo).first()
    if row is not None:
        with suppress(service.AlreadySentError, Photo.DoesNotExist):
            remove_photo(photo_id=row.pk)
    return _changed(request, token, photo)


def _changed(request: HttpRequest, token: str, photo: str) -> HttpResponse:
    """Answer a script with the item (nothing when it is gone), a form with the page again."""
    if request.headers.get("X-Kerbline") != "photo":
        page = open_page(request, token)
        if page.spec.sent_at:
            return already_sent(request, page.spec)
        if page.form.is_valid():
            save(page, page.form.selection())
        return back_to(page, opened="photos", place="s-photos")
    open_rows = Photo.objects.select_related("spec").filter(spec__sent_at=None)
    row = open_rows.filter(BUILD_LINK.q(token, through="spec__"), token=photo).first()
    if row is None:
        return HttpResponse("")
    return render(request, "configurator/photo.html", {"photo": row, "spec": row.spec})


def _photo(token: str, photo: str) -> Photo:
    rows = Photo.objects.select_related("spec").filter(spec__sent_at=None)
    return get_object_or_404(rows, BUILD_LINK.q(token, through="spec__"), token=photo)
