"""Forms of the measuring page: a figure, how well and how, for each value of the card."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.jobs import photos
from shop.jobs.errors import UnmetError

from .measured import Kind, Measured, of_axle
from .models import AxleReading
from .reading import ReadingError, read
from .service import Reading

HOW = [(how.value, how.label) for how in AxleReading.How if how != AxleReading.How.JOB]


@dataclass(frozen=True)
class Line:
    """One value of the form, as the page lays it out."""

    measured: Measured
    read: forms.BoundField
    tolerance: forms.BoundField | None
    how: forms.BoundField
    now: str
    reading: AxleReading | None


class MeasureForm(forms.Form):
    """What was read at one axle; what stays empty is left as it is."""

    note = forms.CharField(
        label=gettext_lazy("Note"),
        required=False,
        max_length=200,
        help_text=gettext_lazy("Registration, mileage, what was special about this vehicle."),
    )
    photo = forms.FileField(
        label=gettext_lazy("Photo"),
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        help_text=gettext_lazy("Of gauge or template at its place."),
    )

    def __init__(self, *args: Any, position: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.position = position
        for one in of_axle(position):
            self.fields[f"r-{one.field}"] = forms.CharField(
                label=str(one.name), required=False, max_length=400, widget=_figure(one)
            )
            if one.tolerance_mm is not None:
                self.fields[f"t-{one.field}"] = forms.FloatField(
                    label=_("%(what)s: plus or minus, mm") % {"what": one.name},
                    required=False, min_value=0, max_value=50, initial=one.tolerance_mm, localize=True,
                )  # fmt: skip
            self.fields[f"h-{one.field}"] = forms.ChoiceField(
                label=_("%(what)s: measured with") % {"what": one.name}, required=False, choices=HOW,
                initial=one.how,
            )  # fmt: skip

    def lines(self, now: dict[str, str], readings: dict[str, AxleReading]) -> Iterator[Line]:
        """Yield the values in the order of the card."""
        for one in of_axle(self.position):
            tolerance = self[f"t-{one.field}"] if f"t-{one.field}" in self.fields else None
            yield Line(
                one, self[f"r-{one.field}"], tolerance, self[f"h-{one.field}"],
                now.get(one.field, ""), readings.get(one.field),
            )  # fmt: skip

    def clean_photo(self) -> bytes:
        """Return the photo made safe."""
        file = self.cleaned_data["photo"]
        try:
            return photos.cleaned(photos.sent(file), "photo").read() if file else b""
        except UnmetError as refusal:
            raise forms.ValidationError(str(refusal)) from refusal

    def clean(self) -> dict[str, Any]:
        """Read every figure; each mistake stands beside its own."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        found = []
        for one in of_axle(self.position):
            typed = data.get(f"r-{one.field}", "").strip()
            if not typed:
                continue
            try:
                readings, value = read(one, typed)
            except ReadingError as error:
                self.add_error(f"r-{one.field}", str(error))
                continue
            tolerance = data.get(f"t-{one.field}") if one.tolerance_mm is not None else None
            if one.tolerance_mm is not None and tolerance is None:
                tolerance = one.tolerance_mm
            found.append(
                Reading(one.field, readings, value, tolerance, data.get(f"h-{one.field}") or one.how)
            )
        if not found and not self.errors:
            self.add_error(None, _("Enter at least one value."))
        data["readings"] = found
        return data


def _figure(one: Measured) -> forms.TextInput:
    hints = {Kind.LEAST: "192 195 201", Kind.PAIRS: "178:-35 140:20"}
    attrs = {"inputmode": "text" if one.kind in (Kind.TEXT, Kind.PAIRS) else "decimal", "autocomplete": "off"}
    return forms.TextInput(attrs={**attrs, "placeholder": hints.get(one.kind, "")})


class DisputeForm(forms.Form):
    """What speaks against a value."""

    why = forms.CharField(label=gettext_lazy("What speaks against it"), max_length=200)
