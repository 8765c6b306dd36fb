"""What would suit an axle better, fetched when someone opens the checks, or as a page of its own."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from configurator.builds import changing, service
from configurator.builds.advice import advice
from configurator.builds.models import BUILD_LINK, Spec
from configurator.builds.selection import POSITIONS, Selection
from configurator.catalogue import snapshot


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def axle_advice(request: HttpRequest, token: str, position: str) -> HttpResponse:
    """Show what would suit the axle; a post takes one proposal and goes back to the build."""
    spec = get_object_or_404(Spec, BUILD_LINK.q(token), sent_at=None)
    if position not in POSITIONS:
        raise Http404
    if request.method == "POST":
        return _take(request, spec)
    found = advice(Selection.model_validate(spec.selection), position, snapshot.current())
    part = bool(request.htmx)  # type: ignore[attr-defined]
    template = "configurator/advice_part.html" if part else "configurator/advice.html"
    return render(request, template, {"spec": spec, "advice": found, "position": position})


def _take(request: HttpRequest, spec: Spec) -> HttpResponse:
    """Take a proposal into the stored build; an unknown part is told there beside its field."""
    catalogue = snapshot.current()
    edit = changing.read(request.POST.get("change", ""))
    if edit is not None and changing.known(edit, catalogue):
        selection = changing.apply(Selection.model_validate(spec.selection), edit, catalogue)
        try:
            service.save_build(spec_id=spec.pk, selection=selection)
        except service.AlreadySentError:
            return redirect("configurator:build", spec.token)
    return redirect("configurator:build", spec.token)
