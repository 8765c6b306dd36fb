"""Showing a build to others, and two builds side by side."""

from __future__ import annotations

import re

from django.conf import settings
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.cache import patch_cache_control
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import condition, require_POST, require_safe

from configurator.builds import comparing, service
from configurator.builds.evaluation import Evaluation
from configurator.builds.models import BUILD_LINK, SHARE_LINK, Spec
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot
from configurator.catalogue.workshop import currency_of

from . import differences, drawing
from .beginning import begin_with
from .device import remembered
from .forms_compare import CompareForm
from .sent import already_sent

TOKEN = re.compile(r"[A-Za-z0-9_-]{32}")


@never_cache
@require_safe
def share(request: HttpRequest, token: str) -> HttpResponse:
    """Show a build to whoever has the link: what it is, never who sent it."""
    spec = get_object_or_404(Spec, SHARE_LINK.q(token))
    evaluation = _evaluation(spec)
    catalogue = snapshot.current()
    pictures = drawing.pictures(evaluation.selection, catalogue)
    context = {
        "spec": spec,
        "evaluation": evaluation,
        "currency": currency_of(catalogue.workshop),
        "generation": catalogue.generations.get(evaluation.selection.generation),
        "vehicles": sorted(catalogue.generations.values(), key=str),
        "fits": [(position, evaluation.fits.get(position)) for position in ("front", "rear")],
        "page_url": settings.SITE_URL + request.path,
        "card_url": settings.SITE_URL + reverse("configurator:card", args=[token]),
        "card_size": drawing.CARD_PX,
        **pictures,
    }
    return render(request, "configurator/share.html", context)


@require_POST
def start_like(request: HttpRequest, token: str) -> HttpResponse:
    """Begin a build of one's own from a shared one, for the same vehicle or another."""
    spec = get_object_or_404(Spec, SHARE_LINK.q(token))
    return begin_with(request, Selection.model_validate(spec.selection))


def _evaluation(spec: Spec) -> Evaluation:
    """Return what was frozen when it was sent, else what it would be today."""
    revision = spec.revisions.order_by("-number").first() if spec.sent_at else None
    return Evaluation.model_validate(revision.evaluation) if revision else service.look_at(spec)


def _card_tag(request: HttpRequest, token: str) -> str | None:
    spec = Spec.objects.filter(SHARE_LINK.q(token)).first()
    return f'"{spec.pk}-{spec.changed_at.timestamp()}-{spec.catalogue_version}"' if spec else None


@require_safe
@condition(etag_func=_card_tag)
def card(request: HttpRequest, token: str) -> HttpResponse:
    """Return the build's picture as PNG, for link previews."""
    spec = get_object_or_404(Spec, SHARE_LINK.q(token))
    evaluation, catalogue = _evaluation(spec), snapshot.current()
    title = spec.name or str(catalogue.generations.get(evaluation.selection.generation, ""))
    png = drawing.card_png(evaluation.selection, title, list(evaluation.summary[1:]), catalogue)
    if png is None:
        raise Http404
    response = HttpResponse(png, content_type="image/png")
    patch_cache_control(response, public=True, max_age=300)
    return response


@never_cache
@require_safe
def section(request: HttpRequest, token: str, position: str) -> HttpResponse:
    """Return the cross-section of one axle as SVG, apart from the page because few people open it."""
    spec = get_object_or_404(Spec, BUILD_LINK.q(token), sent_at=None)
    evaluation = _evaluation(spec)
    svg = drawing.section(evaluation.selection, position, snapshot.current())
    if svg is None:
        raise Http404
    return HttpResponse(svg, content_type="image/svg+xml")


@never_cache
@require_safe
def compare(request: HttpRequest, token: str) -> HttpResponse:
    """Show two builds side by side: only what differs, with price and time."""
    spec = get_object_or_404(Spec, BUILD_LINK.q(token))
    if spec.sent_at:
        return already_sent(request, spec)
    form = CompareForm(request.GET or None)
    context = {"spec": spec, "form": form, "others": _others(request, spec)}
    status = 200
    if form.is_bound:
        other = _found(request, form.cleaned_data["other"]) if form.is_valid() else None
        if other is None or other.pk == spec.pk:
            if form.is_valid():
                form.add_error("other", gettext("There is no other build at this link."))
            status = 422
        else:
            context |= _compared(spec, other)
    return render(request, "configurator/compare.html", context, status=status)


def _found(request: HttpRequest, text: str) -> Spec | None:
    """Return the build whose private or shared link, or token, the text holds.

    Once a build was sent, its own link tells no more than that, but in the browser that made it.
    """
    tokens = TOKEN.findall(text)
    if not tokens:
        return None
    still_open = Q(sent_at=None) | Q(pk__in=remembered(request).values("pk"))
    return Spec.objects.filter(BUILD_LINK.q(*tokens) & still_open | SHARE_LINK.q(*tokens)).first()


def _others(request: HttpRequest, spec: Spec) -> list[Spec]:
    return list(remembered(request).exclude(pk=spec.pk))


def _compared(one: Spec, other: Spec) -> dict[str, object]:
    catalogue = snapshot.current()
    sides = [(spec, _evaluation(spec)) for spec in (one, other)]
    return {
        "sides": [
            {
                "spec": spec,
                "evaluation": evaluation,
                "picture": drawing.pictures(evaluation.selection, catalogue, prefix=name)["picture_side"],
            }
            for name, (spec, evaluation) in zip(("one", "other"), sides, strict=True)
        ],
        "differences": differences.rows(comparing.choices(comparing.compare(sides[0][1], sides[1][1]))),
        "currency": currency_of(catalogue.workshop),
    }
