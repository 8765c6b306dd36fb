"""Forms of booking a vehicle in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from . import photos
from .bookin import KEYS_MAX, Readings
from .models_bookin import BookIn, BookInPhoto, ConditionMark

COLUMNS, ROWS = "ABCDEFGHIJKL", "123456"


class PhotoForm(forms.Form):
    """One photo and what it shows."""

    side = forms.ChoiceField(label=_("What it shows"), choices=BookInPhoto.Side.choices)
    photos = forms.FileField(label=_("Photo"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["photos"].widget.attrs |= {"accept": "image/*", "capture": "environment"}

    def photo_bytes(self) -> bytes:
        """Return what was sent as a photo."""
        return photos.sent(self.cleaned_data["photos"])


class MarkForm(forms.Form):
    """One spot on the picture: the square pressed, or its letter and number chosen."""

    view = forms.ChoiceField(choices=ConditionMark.View.choices, widget=forms.HiddenInput)
    kind = forms.ChoiceField(label=_("What it is"), choices=ConditionMark.Kind.choices)
    note = forms.CharField(label=_("How large, where exactly"), required=False, max_length=120)
    column = forms.ChoiceField(label=_("Column"), required=False, choices=[(each, each) for each in COLUMNS])
    row = forms.ChoiceField(label=_("Row"), required=False, choices=[(each, each) for each in ROWS])
    square = forms.CharField(required=False, max_length=2, widget=forms.HiddenInput)

    def where(self) -> str:
        """Return the square that was meant."""
        data = self.cleaned_data
        return data["square"] or f"{data['column']}{data['row']}"


class ReadingsForm(forms.Form):
    """What is read at the vehicle and handed in with it."""

    mileage_km = forms.IntegerField(
        label=_("Mileage, km"), required=False, min_value=0, max_value=99_999_999,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )  # fmt: skip
    mileage_why = forms.CharField(label=_("Or why it cannot be read"), required=False, max_length=200)
    keys = forms.IntegerField(label=_("Keys handed in"), min_value=0, max_value=KEYS_MAX)
    locking_key = forms.ChoiceField(
        label=_("Key of the locking bolts"), choices=[("", "–"), *BookIn.LockingKey.choices]
    )
    photos_why = forms.CharField(
        label=_("Why there are fewer than four photos"), required=False, max_length=200
    )
    note = forms.CharField(label=_("Note"), required=False, max_length=500)
    sure = forms.BooleanField(label=_("It was read twice; the mileage is right"), required=False)
    was = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    @property
    def asks_sure(self) -> bool:
        """Whether the mileage that was typed was questioned."""
        return self.is_bound and "mileage_km" in self.errors

    def readings(self) -> Readings:
        """Return what was entered."""
        return Readings(**{name: self.cleaned_data[name] for name in Readings.__dataclass_fields__})
