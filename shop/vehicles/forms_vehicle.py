"""The form of a vehicle: what it is, what it usually has, and both axles as they leave the factory."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from configurator.catalogue import snapshot
from configurator.catalogue.going_live import NotLiveError
from configurator.catalogue.literals import tyre_problem
from configurator.catalogue.models import Axle, Finish, Generation, Maker
from configurator.pages.told import told
from shop.wanted.models import VehicleRequest

from .keeping import OF_AXLE, OF_GENERATION, POSITIONS
from .words import POSITIONS as AXLES
from .words import STYLES

CATEGORIES = ("M1", "N1", "M2", "N2", "L3", "L4", "L5")
DOORS = [("", gettext_lazy("none of these")), ("twin", gettext_lazy("twin doors")),
         ("tailgate", gettext_lazy("tailgate")), ("drop gate", gettext_lazy("drop gate"))]  # fmt: skip
DRIVES = [("", gettext_lazy("not known")), ("front", gettext_lazy("front")), ("rear", gettext_lazy("rear")),
          ("four", gettext_lazy("all four"))]  # fmt: skip


WHEELS = [(2, gettext_lazy("two")), (1, gettext_lazy("one, as on a motorcycle"))]
MOUNTINGS = [("bolted", gettext_lazy("bolts or studs on a hub")),
             ("centre_axle", gettext_lazy("an axle through its middle"))]  # fmt: skip


class VehicleForm(forms.Form):
    """A vehicle generation with the facts of both its axles that papers and placards tell."""

    maker = forms.CharField(label=gettext_lazy("Maker"), max_length=80)
    name = forms.CharField(
        label=gettext_lazy("Model and generation"),
        max_length=80,
        help_text=gettext_lazy("As customers call it, with what tells it from the one before."),
    )
    body_style = forms.ChoiceField(label=gettext_lazy("Body"), choices=list(STYLES.items()))
    rear_doors = forms.ChoiceField(label=gettext_lazy("Rear doors"), choices=DOORS, required=False)
    category = forms.ChoiceField(
        label=gettext_lazy("Category"),
        choices=[(one, one) for one in CATEGORIES],
        help_text=gettext_lazy("In the papers: M1 cars, N1 vans and pickups, L3 motorcycles."),
    )
    drive = forms.ChoiceField(label=gettext_lazy("Driven axles"), choices=DRIVES, required=False)
    year_from = forms.IntegerField(label=gettext_lazy("Built from"), min_value=1900, max_value=2100)
    year_to = forms.IntegerField(
        label=gettext_lazy("Built until"), min_value=1900, max_value=2100, required=False,
        help_text=gettext_lazy("Empty: still built."),
    )  # fmt: skip
    max_speed_kmh = forms.IntegerField(
        label=gettext_lazy("Top speed, km/h"), min_value=1, max_value=400,
        help_text=gettext_lazy("In the papers."),
    )  # fmt: skip
    speedometer_reads_high_pct = forms.FloatField(
        label=gettext_lazy("Speedometer reads high by, per cent"), min_value=0, max_value=15, required=False,
        localize=True,
        help_text=gettext_lazy("If it was measured; without it a larger tyre is judged with care."),
    )  # fmt: skip
    axle_ratio_limit_pct = forms.FloatField(
        label=gettext_lazy("Front and rear tyres may part by, per cent"), min_value=0, max_value=50,
        required=False, localize=True,
        help_text=gettext_lazy("Of their rolling circumference, by the maker; little with all-wheel drive."),
    )  # fmt: skip
    takes_spacers = forms.BooleanField(
        label=gettext_lazy("Spacers may be offered"), required=False, initial=True
    )
    facts = forms.MultipleChoiceField(
        label=gettext_lazy("What it usually has"), required=False, widget=forms.CheckboxSelectMultiple
    )
    body_finishes = forms.MultipleChoiceField(
        label=gettext_lazy("Body colours"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, generation: Generation | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.generation = generation
        catalogue = snapshot.current()
        facts = [row for row in catalogue.options.values() if row.kind == "fact"]
        colours = [row for row in catalogue.finishes.values() if row.role == Finish.Role.BODY]
        for name, rows in (("facts", facts), ("body_finishes", colours)):
            self.fields[name].choices = [(row.code, told(row.name)) for row in rows]  # type: ignore[attr-defined]
        self.fields["maker"].widget.attrs["list"] = "makers"
        for position in POSITIONS:
            self.fields.update({f"{position}_{name}": field for name, field in _axle_fields().items()})
        if generation is not None:
            self.initial.update(_initial(generation))

    def makers(self) -> list[str]:
        """Return the makers there are, to choose from while typing."""
        return list(Maker.objects.values_list("name", flat=True))

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Return the fields in the groups of the page."""
        of_axles = {f"{position}_{name}" for position in POSITIONS for name in OF_AXLE}
        own = [self[name] for name in self.fields if name not in of_axles]
        axles = [
            (str(AXLES[position]), [self[f"{position}_{name}"] for name in OF_AXLE]) for position in POSITIONS
        ]
        return [(_("Vehicle"), own), *axles]

    def clean(self) -> dict[str, Any]:
        """The tyres must be ones that can be read; the last year does not come before the first."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for position in POSITIONS:
            name = f"{position}_original_tyre"
            if data.get(name) and tyre_problem(data[name]):
                self.add_error(name, _("Not a size that can be read; write it as 205/65R16C 107/105T."))
        first, last = data.get("year_from"), data.get("year_to")
        if first and last and last < first:
            self.add_error("year_to", _("The last year lies before the first."))
        return data

    def values(self) -> dict[str, Any]:
        """Return what the catalogue is to say."""
        return {name: value for name, value in self.cleaned_data.items() if name != "maker"}

    def refuse(self, error: NotLiveError) -> None:
        """Put what the catalogue's checks found beside its fields."""
        refuse(self, error, self._field_of)

    def _field_of(self, kind: str, key: str, field: str) -> str | None:
        name = f"{key.rpartition('/')[2]}_{field}" if kind == "axles" else field
        return name if name in self.fields else None


def refuse(form: forms.Form, error: NotLiveError, field_of: Any) -> None:
    """Add every flaw to the field it speaks of; what follows from those is left out, else stands above."""
    placed = [(field_of(flaw.kind, flaw.key, flaw.field), flaw) for flaw in error.flaws]
    named = [(field, flaw) for field, flaw in placed if field]
    for field, flaw in named or placed:
        form.add_error(field, told(flaw.message))


def from_request(asked: VehicleRequest) -> dict[str, Any]:
    """Return what a customer who asked for a vehicle has told of it, to begin with."""
    year = re.search(r"\b(19|20)\d\d\b", asked.year)
    return {"maker": asked.maker, "name": asked.model, "year_from": int(year[0]) if year else None}


def _axle_fields() -> dict[str, forms.Field]:
    return {
        "wheels": forms.TypedChoiceField(
            label=_("Wheels"),
            coerce=int,
            choices=WHEELS,
            initial=2,
        ),
        "mounting": forms.ChoiceField(
            label=_("Wheel is held by"),
            choices=MOUNTINGS,
        ),
        "fastener": forms.ChoiceField(
            label=_("Fastener"), choices=[("bolt", _("bolt")), ("nut", _("stud and nut"))]
        ),
        "original_wheel_width_in": _number(_("Original wheel, width, inches"), 1, 20),
        "original_wheel_diameter_in": _number(_("Original wheel, diameter, inches"), 8, 30),
        "original_wheel_offset_mm": _number(_("Original wheel, offset, mm"), -150, 150),
        "original_tyre": forms.CharField(
            label=_("Original tyre"), max_length=40, help_text=_("As on its side: 205/65R16C 107/105T.")
        ),
        "axle_load_kg": _number(_("Permitted axle load, kg"), 50, 10000, required=False),
        "torque_nm": _number(_("Torque, N m"), 10, 1000, required=False, help_text=_("The vehicle maker’s.")),
        "property_class": forms.ChoiceField(
            label=_("Property class of the fastener"),
            required=False,
            choices=[("", _("not known")), *((one, one) for one in ("8.8", "10.9", "12.9", "8", "10", "12"))],
        ),
    }


def _number(label: str, least: float, most: float, **more: Any) -> forms.FloatField:
    return forms.FloatField(label=label, min_value=least, max_value=most, localize=True, **more)


def _initial(generation: Generation) -> dict[str, Any]:
    found = {name: getattr(generation, name) for name in OF_GENERATION if name != "body_finishes"}
    found["maker"] = generation.maker.name
    found["body_finishes"] = [row.code for row in generation.body_finishes.all()]
    axles: Iterable[Axle] = generation.axles.all()
    for axle in axles:
        found |= {f"{axle.position}_{name}": getattr(axle, name) for name in OF_AXLE}
    return found
