"""Finished builds for visitors: a list, one of them, its photos, and a build that begins like it."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.views.decorators.cache import cache_control
from django.views.decorators.http import condition, require_POST, require_safe

from configurator.catalogue import snapshot
from configurator.pages import drawing
from configurator.pages.beginning import begin_with
from configurator.pictures.giving import give
from shop.jobs.roles import roles_of
from shop.jobs.states import MANAGER, REVIEWER

from . import selectors
from .models import FinishedBuild, ShownPhoto

A_PAGE = 12
PREPARES = frozenset({REVIEWER, MANAGER})


@cache_control(no_cache=True)
@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List what the workshop has finished and may show."""
    page = Paginator(selectors.published(), A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "builds": [selectors.shown(one) for one in page]}
    return render(request, "finished/index.html", context)


def _visible(request: HttpRequest, build: FinishedBuild) -> bool:
    return build.published_at is not None or bool(roles_of(request.user) & PREPARES)


def _found(request: HttpRequest, address: str) -> FinishedBuild:
    """Return what may be looked at under an address; to staff also what is only prepared."""
    build = get_object_or_404(
        FinishedBuild.objects.select_related("job__revision", "job__agreed_revision"), address=address
    )
    if not _visible(request, build):
        raise Http404
    return build


@cache_control(no_cache=True)
@require_safe
def one(request: HttpRequest, address: str) -> HttpResponse:
    """Show one finished build: before and after, what was done, and the way to one like it."""
    shown = selectors.shown(_found(request, address))
    catalogue = snapshot.current()
    known = shown.selection.generation in catalogue.generations
    context = {
        "shown": shown,
        "generation": catalogue.generations.get(shown.selection.generation),
        "vehicles": sorted(catalogue.generations.values(), key=str),
        "picture": drawing.pictures(shown.selection, catalogue)["picture_side"] if known else "",
    }
    return render(request, "finished/one.html", context)


def _photo_tag(request: HttpRequest, address: str, size: str) -> str | None:
    return f'"{address}-{size}"' if _photo(request, address) else None


def _photo(request: HttpRequest, address: str) -> ShownPhoto | None:
    found = ShownPhoto.objects.filter(address=address).select_related("build").first()
    return found if found and _visible(request, found.build) else None


@cache_control(no_cache=True)
@require_safe
@condition(etag_func=_photo_tag)
def photo(request: HttpRequest, address: str, size: str) -> HttpResponseBase:
    """Give a photo while it may be shown; a browser asks each time, so that it is gone when it is gone."""
    found = _photo(request, address)
    if found is None or size not in ("small", "large"):
        raise Http404
    return give(found.thumbnail if size == "small" else found.image)


@require_POST
def begin(request: HttpRequest, address: str) -> HttpResponse:
    """Begin a build with these choices, on the same vehicle or another, and say what did not come along."""
    return begin_with(request, selectors.shown(_found(request, address)).selection)
