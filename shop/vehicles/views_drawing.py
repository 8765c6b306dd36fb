"""Drawing a vehicle: begun from the nearest body, pulled by numbers or handles, seen at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from configurator.catalogue import amending
from configurator.catalogue.models import Generation
from configurator.pictures import Body, Scene, measures_of, scene, to_svg
from shop.jobs.access import staff
from shop.jobs.states import MANAGER, REVIEWER

from .forms_drawing import DrawingForm, shapes_of

COLOUR = "#7b98a8"


@dataclass(frozen=True)
class Handle:
    """A point of the picture that sets a measure: where it is, mm in the picture, and which way it pulls."""

    field: str
    x: float
    y: float
    axis: str
    sign: int = 1


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def draw(request: HttpRequest, code: str) -> HttpResponse:
    """Show and store the drawing of a vehicle."""
    generation = _generation(code)
    start = request.POST.get("start") or request.GET.get("start", "")
    form = DrawingForm(request.POST or None, generation=generation, start=start)
    if request.method == "POST" and form.is_valid() and form.body:
        amending.draw(code, shapes_of(form.body), by=request.user, title=str(generation))
        messages.success(request, _("The drawing is kept, and customers see it from now on."))
        return redirect("shop:vehicle", code)
    context = {"generation": generation, "form": form, **_pictures(form)}
    return render(request, "shop/vehicles/draw.html", context, status=422 if form.errors else 200)


@staff(REVIEWER, MANAGER)
@require_POST
def shown(request: HttpRequest, code: str) -> HttpResponse:
    """Show what the numbers give; nothing is kept. Mistakes are told where the picture was."""
    form = DrawingForm(request.POST, generation=_generation(code), start=request.POST.get("start", ""))
    form.is_valid()
    return render(request, "shop/vehicles/drawn.html", {"form": form, **_pictures(form)})


def _generation(code: str) -> Generation:
    rows = Generation.objects.select_related("maker").prefetch_related("axles")
    return get_object_or_404(rows, code=code)


def _pictures(form: DrawingForm) -> dict[str, Any]:
    """Return both views of what was drawn, or of what it begins from, with the handles of the side view."""
    body = form.body
    if body is None and not form.is_bound and form.start:
        body = _as_begun(form)
    if body is None:
        return {"problems": _problems(form)}
    look = body.original_look(COLOUR)
    side = scene(body, look, "side")
    return {
        "side": _svg(side, _("Side view"), "side"),
        "front": _svg(scene(body, look, "front"), _("Front view"), "front"),
        "box": f"{side.frame[0]:g} 0 {side.width_mm:g} {side.height_mm:g}",
        "handles": _handles(body, side),
    }


def _as_begun(form: DrawingForm) -> Body:
    """Return the drawing at the measures that the form begins with, or just as it is where it cannot be."""
    begun = {name: field.initial for name, field in form.fields.items()}
    trial = DrawingForm(begun, generation=form.generation, start=form.start)
    trial.is_valid()
    return trial.body or form.choices[form.start][1]


def _problems(form: DrawingForm) -> list[tuple[str, list[str]]]:
    return [
        (str(form.fields[name].label) if name in form.fields else "", [str(one) for one in errors])
        for name, errors in form.errors.items()
    ]


def _svg(view: Scene, title: str, prefix: str) -> SafeString:
    # Our own drawing: its writer escapes every text.
    return mark_safe(to_svg(view, title, "", prefix=f"draw-{prefix}"))  # noqa: S308


def _handles(body: Body, side: Scene) -> list[Handle]:
    front, rear, top = body.axles.front, body.axles.rear, side.frame[3]
    found = [
        Handle("length_mm", body.length_mm, top - body.height_mm * 0.4, "x"),
        Handle("height_mm", body.length_mm * 0.55, top - body.height_mm, "y", -1),
        Handle("front_overhang_mm", front.x_mm, top - 60, "x"),
        Handle("wheelbase_mm", rear.x_mm, top - 60, "x"),
    ]
    for position, axle in (("front", front), ("rear", rear)):
        if axle.arch:
            y = top - axle.arch.centre_z_mm - axle.arch.radius_mm
            found.append(Handle(f"{position}_arch_radius_mm", axle.x_mm, y, "y", -1))
    own = measures_of(body)
    if own.window_sill_mm and own.window_top_mm:
        found.append(Handle("window_sill_mm", body.length_mm * 0.45, top - own.window_sill_mm, "y", -1))
        found.append(Handle("window_top_mm", body.length_mm * 0.5, top - own.window_top_mm, "y", -1))
    return found
