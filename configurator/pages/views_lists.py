"""One list of wheels, tyres or spacers by itself, as filtered, sorted and paged."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from configurator.builds import service
from configurator.builds.models import BUILD_LINK, Spec
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot
from configurator.catalogue.workshop import currency_of

from . import lists, marks
from .forms import BuildForm


@never_cache
@require_safe
def part_list(request: HttpRequest, token: str, name: str) -> HttpResponse:
    """Answer one list of the stored build; without a script it is shown on the build's own page."""
    spec = get_object_or_404(Spec, BUILD_LINK.q(token))
    catalogue = snapshot.current()
    selection = Selection.model_validate(spec.selection)
    generation = catalogue.generations.get(selection.generation)
    if generation is None or name not in lists.NAMES or spec.sent_at:
        raise Http404
    form = BuildForm(generation=generation, catalogue=catalogue, selection=selection)
    if name not in form.fields:
        raise Http404
    if not request.htmx:  # type: ignore[attr-defined]
        address = reverse("configurator:build", args=[token])
        return HttpResponseRedirect(f"{address}?{request.GET.urlencode()}#list-{name}")
    evaluation = service.look_at(spec)
    found = lists.part_list(name, form, evaluation, catalogue, request.GET)
    currency = currency_of(catalogue.workshop)
    context = {
        "spec": spec,
        "list": found,
        "field": form[name],
        "currency": currency,
        "prices": marks.prices(form, evaluation, {name: found}, catalogue, currency),
    }
    return render(request, "configurator/lists/alone.html", context)
