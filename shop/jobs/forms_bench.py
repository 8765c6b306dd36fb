"""What is entered in the bay: a tick, a reason, torque by a pad made for thumbs, a photo."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from . import photos
from .models import JobOperation


class TorqueField(forms.FloatField):
    """One torque in N m; a comma is a decimal one too, as it is written by hand."""

    def __init__(self, **kwargs: Any) -> None:
        box = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "size": 5})
        super().__init__(widget=box, **kwargs)

    def clean(self, value: Any) -> Any:
        """Return the figure, or nothing."""
        return super().clean(str(value or "").replace(",", "."))


class ReadingsField(forms.CharField):
    """Torques in N m, one a fastener, parted by blanks, semicolons or new lines; a comma is a decimal one."""

    def clean(self, value: Any) -> tuple[float, ...]:
        """Return the figures."""
        words = [word for word in re.split(r"[\s;]+", super().clean(value) or "") if word]
        if len(words) > 60:
            raise forms.ValidationError(_("That is more than sixty fasteners."))
        try:
            return tuple(float(word.replace(",", ".")) for word in words)
        except ValueError as error:
            raise forms.ValidationError(_("Enter figures only, such as 160 161 159.")) from error


class StepForm(forms.Form):
    """What is entered when a step is ticked, left out or opened again."""

    do = forms.ChoiceField(choices=[("tick", ""), ("skip", ""), ("undo", "")], widget=forms.HiddenInput)
    readings = ReadingsField(label=_("Torque of each fastener, N m"), required=False, max_length=600)
    reason = forms.CharField(label=_("Reason"), required=False, max_length=300)
    note = forms.CharField(label=_("Note"), required=False, max_length=300)
    photo = forms.FileField(label=_("Photo"), required=False)
    photo_for_customer = forms.BooleanField(label=_("Show the photo to the customer"), required=False)

    def __init__(self, *args: Any, step: JobOperation | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["photo"].widget.attrs |= {"accept": "image/*"}
        self.fields["readings"].widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}
        self.count = step.fastener_count if step and step.torque_nm else 0
        if step is None or not step.torque_nm or self.count:
            del self.fields["readings"]
        for number in range(1, self.count + 1):
            self.fields[f"reading-{number}"] = TorqueField(label=str(number), required=False)

    def pad(self) -> list[forms.BoundField]:
        """Return a field for each fastener, to be laid out as a pad."""
        return [self[f"reading-{number}"] for number in range(1, self.count + 1)]

    def torques(self) -> tuple[float, ...]:
        """Return the readings in N m, in the order of the fasteners; those left empty are left out."""
        if not self.count:
            return tuple(self.cleaned_data.get("readings", ()))
        entered = (self.cleaned_data.get(f"reading-{number}") for number in range(1, self.count + 1))
        return tuple(value for value in entered if value is not None)

    def photo_bytes(self) -> bytes:
        """Return what was sent as a photo; nothing without one."""
        return photos.sent(self.cleaned_data.get("photo"))
