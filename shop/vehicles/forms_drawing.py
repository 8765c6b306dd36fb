"""The measures that a vehicle is drawn to, as numbers; handles on the picture set the same numbers."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from configurator.catalogue.models import Generation
from configurator.pictures import Body, BodyError, Measures, derive

from .bodies import measures_for, to_begin_from
from .words import POSITIONS

OWN = {
    "length_mm": gettext_lazy("Length"),
    "width_mm": gettext_lazy("Width, mirrors left out"),
    "height_mm": gettext_lazy("Height"),
    "wheelbase_mm": gettext_lazy("Wheelbase"),
    "front_overhang_mm": gettext_lazy("Front bumper to front axle"),
    "window_sill_mm": gettext_lazy("Side windows, lower edge above ground"),
    "window_top_mm": gettext_lazy("Side windows, upper edge above ground"),
}
OF_AXLE = {
    "hub_face_mm": gettext_lazy("vehicle’s middle to hub face"),
    "arch_radius_mm": gettext_lazy("radius of the wheel opening"),
    "arch_centre_z_mm": gettext_lazy("middle of the wheel opening above ground"),
    "lip_mm": gettext_lazy("hub face to arch lip"),
}
MOST_MM = 20000


class DrawingForm(forms.Form):
    """Where to begin and what to pull it to; every number is a measure in millimetres.

    ``body`` is what was drawn, once the form is valid.
    """

    def __init__(self, *args: Any, generation: Generation, start: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.body: Body | None = None
        self.generation = generation
        self.choices = to_begin_from(generation)
        self.start = start if start in self.choices else next(iter(self.choices), "")
        self.fields["start"] = forms.ChoiceField(
            label=_("Begin from"),
            choices=[(code, name) for code, (name, _body) in self.choices.items()],
            initial=self.start,
        )
        if not self.start:
            return
        self.measures = measures_for(generation, self.choices[self.start][1])
        for name, label in OWN.items():
            self._number(name, str(label), getattr(self.measures, name))
        for position, axle in POSITIONS.items():
            for name, label in OF_AXLE.items():
                value = getattr(getattr(self.measures, position), name)
                self._number(f"{position}_{name}", f"{axle}: {label}", value)

    def _number(self, name: str, label: str, value: float | None) -> None:
        """Add a measure; what the drawing has not got is not asked."""
        if value is None:
            return
        self.fields[name] = forms.FloatField(
            label=label, min_value=0, max_value=MOST_MM, initial=round(value, 1), localize=True,
            widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Pull the drawing to the measures; what cannot be stands beside the measure that is the cause."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if self.errors or not self.start:
            return data
        try:
            self.body = derive(self.choices[self.start][1], self._wanted(data))
        except BodyError as error:
            for place, _message in error.problems:
                name = place.replace(".", "_")
                self.add_error(
                    name if name in self.fields else None,
                    _("The drawing cannot be pulled so far. Change less, or begin from a nearer one."),
                )
        return data

    def _wanted(self, data: dict[str, Any]) -> Measures:
        plain = self.measures.model_dump()
        for name, value in data.items():
            position, _dash, inner = name.partition("_")
            if name in OWN:
                plain[name] = value
            elif position in POSITIONS and inner in OF_AXLE:
                plain[position][inner] = value
        return Measures.from_dict(plain)


def shapes_of(body: Body) -> dict[str, Any]:
    """Return a drawing as the catalogue keeps it."""
    return body.model_dump(mode="json", by_alias=True, exclude_unset=True)
