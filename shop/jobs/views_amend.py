"""The reviewer changes a build with the same form and the same checks that the customer has."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from configurator.builds.colours import nearest_accents
from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation
from configurator.builds.selection import Selection
from configurator.catalogue import selectors, snapshot
from configurator.pages.forms import BuildForm
from configurator.pages.forms_values import OWN
from configurator.pages.told import told

from .access import job_or_404, staff
from .amend import amend, what_stands_against
from .difference import differences
from .errors import JobError, UnmetError
from .evaluations import evaluation_of
from .models import Job
from .states import AMENDABLE, MANAGER, REVIEWER

AXLES = ("wheel", "tyre", "spacer", "rear_differs", "rear_wheel", "rear_tyre", "rear_spacer")


class AmendForm(BuildForm):
    """The customer's form, laid out short: one list for each choice; tyres of every size are listed."""

    why = forms.CharField(
        label=_("Why is it changed?"),
        help_text=_("The customer reads this beside the change."),
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    version = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.label = told(str(field.label))
            choices: Any = getattr(field.widget, "choices", None)
            if choices:
                field.widget.choices = [(value, told(str(label))) for value, label in choices]
            if type(field.widget) is forms.RadioSelect:
                field.widget = forms.Select(choices=field.widget.choices)
            if name in AXLES and name != "rear_differs":
                field.widget.choices = self._parts(name)
            if name.startswith("finish-"):
                option = self.catalogue.options.get(name.removeprefix("finish-"))
                field.label = told(option.name) if option else field.label
                field.widget.choices = [("", _("its usual finish")), *field.widget.choices]
            if name.startswith("rear_") and name != "rear_differs":
                field.label = gettext("%(field)s, rear") % {"field": field.label}

    def _parts(self, name: str) -> list[tuple[str, str]]:
        """Return every part that a field of an axle could hold, with the one that leaves it as it came."""
        kind, position = name.removeprefix("rear_"), "rear" if name.startswith("rear_") else "front"
        if kind == "tyre":
            tyres = self.catalogue.tyres.values()
            return [("", str(_("Keep the tyres it has"))), *((tyre.code, tyre.item.name) for tyre in tyres)]
        axle = self.catalogue.axles.get((self.generation.code, position))
        if kind == "wheel":
            wheels = selectors.wheels_for(self.catalogue, axle) if axle else []
            return [
                ("", str(_("Keep the wheels it has"))),
                *((wheel.code, wheel.item.name) for wheel in wheels),
            ]
        spacers = selectors.spacers_for(self.catalogue, axle) if axle else []
        return [("", str(_("No spacers"))), *((spacer.code, spacer.item.name) for spacer in spacers)]

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Return the fields in the order of the page, under headings."""
        axles = [n for n in AXLES if n in self.fields]
        colours = [n for n in ("body_finish", "accent", "accent_wanted", "accent_way") if n in self.fields]
        families = [n for n in self.fields if n.startswith("f-")]
        named = (
            (_("Wheels, tyres, spacers"), axles),
            (_("Colours"), colours),
            (_("Panels and removals"), families),
        )
        return [(str(label), [self[name] for name in names]) for label, names in named if names]

    def finishes(self) -> list[forms.BoundField]:
        """Return the fields that give one option a finish of its own."""
        return [self[name] for name in self.fields if name.startswith("finish-")]


@staff(REVIEWER, MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, number: str) -> HttpResponse:
    """Show the build as a form; check it, or make a new revision of it."""
    found = job_or_404(request, number)
    catalogue = snapshot.current()
    stored = Selection.model_validate(found.revision.selection)
    generation = catalogue.generations.get(stored.generation)
    if found.state not in AMENDABLE or generation is None:
        gone = (
            _("The catalogue no longer has this vehicle.")
            if generation is None
            else _("Take it into review first.")
        )
        messages.error(
            request,
            gettext("%(number)s cannot be changed now. %(why)s") % {"number": found.number, "why": gone},
        )
        return redirect("shop:job", number)
    form = AmendForm(
        request.POST if request.method == "POST" else None,
        generation=generation,
        catalogue=catalogue,
        selection=stored,
        nearest=lambda wanted: next(
            (f.code for f, _ in nearest_accents(wanted, catalogue.finishes.values())), None
        ),
    )
    if request.method != "POST":
        form.initial.update({"version": found.version})
        return _show(request, found, form, evaluation_of(found.revision), 200)
    return _take(request, found, form)


def _take(request: HttpRequest, found: Job, form: AmendForm) -> HttpResponse:
    if not form.is_valid():
        return _show(request, found, form, evaluation_of(found.revision), 422)
    selection = form.selection()
    evaluation = evaluate(selection, snapshot.current())
    form.show_problems(evaluation.problems)
    if request.POST.get("do") != "store":
        return _show(request, found, form, evaluation, 200)
    try:
        did = amend(
            job_id=found.pk,
            selection=selection,
            by=request.user,  # type: ignore[arg-type]
            why=form.cleaned_data.get("why", ""),
            version=form.cleaned_data.get("version"),
        )
    except JobError as error:
        field = error.field if isinstance(error, UnmetError) else ""
        form.add_error(field or None, str(error))
        return _show(request, found, form, evaluation, error.status)
    found.refresh_from_db()
    if did:
        messages.success(
            request,
            gettext("Revision %(number)s is made. Confirm it to ask the customer for their yes.")
            % {"number": found.revision.number},
        )
    else:
        messages.info(request, _("Nothing was changed."))
    return redirect("shop:review", found.number)


def _show(
    request: HttpRequest, found: Job, form: AmendForm, evaluation: Evaluation, status: int
) -> HttpResponse:
    context = {
        "job": found,
        "revision": found.revision,
        "form": form,
        "own": OWN,
        "evaluation": evaluation,
        "changes": differences(evaluation_of(found.revision), evaluation),
        "against": "" if evaluation.sendable else what_stands_against(evaluation),
        "sees_customer": True,
    }
    live = bool(getattr(request, "htmx", False)) and request.POST.get("do") != "store"
    template = "shop/jobs/amend_live.html" if live else "shop/jobs/amend.html"
    return render(request, template, context, status=200 if live else status)
