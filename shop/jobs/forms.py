"""Forms of the staff pages of jobs."""

from __future__ import annotations

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.translation import gettext_lazy as _

from .actions import BY_NAME
from .states import State


class ActForm(forms.Form):
    """One button pressed: which, from which state of the job, and the reason typed with it."""

    action = forms.ChoiceField(choices=[(name, name) for name in BY_NAME])
    version = forms.IntegerField(required=False, min_value=1, max_value=2_000_000_000)
    revision = forms.IntegerField(required=False, min_value=1, max_value=2**62)
    why = forms.CharField(required=False, max_length=2000, strip=True)
    seen = forms.CharField(required=False, max_length=60)

    def errors_text(self) -> str:
        """Return all messages in one text: these fields are hidden, so nobody mistyped them."""
        return " ".join(str(message) for found in self.errors.values() for message in found)


class MeasureForm(forms.Form):
    """What was measured for one fit check, and how exactly."""

    key = forms.CharField(max_length=60, widget=forms.HiddenInput)
    value = forms.FloatField(label=_("Measured"), widget=forms.NumberInput(attrs={"step": "any"}))
    uncertainty = forms.FloatField(
        label=_("Measured to within ±"),
        initial=0.5,
        min_value=0,
        widget=forms.NumberInput(attrs={"step": "any"}),
    )
    note = forms.CharField(label=_("Note"), required=False, max_length=200)
    sure = forms.BooleanField(label=_("It was measured twice; the value is right"), required=False)

    @property
    def asks_sure(self) -> bool:
        """Whether the value that was typed was questioned."""
        return self.is_bound and "value" in self.errors

    def name_unit(self, unit: str, room_left: bool) -> None:
        """Say what is to be entered, and in which unit."""
        what = _("Room left") if room_left else _("Measured")
        self.fields["value"].label = f"{what}, {unit}" if unit else what


class FindForm(forms.Form):
    """Find jobs by anything at hand, narrowed and sorted."""

    q = forms.CharField(
        label=_("Find a job"),
        help_text=_("Number, name, registration, VIN, telephone, mail, vehicle, part or order number."),
        required=False,
        max_length=100,
    )
    state = forms.ChoiceField(label=_("State"), required=False)
    only = forms.ChoiceField(
        label=_("Only"),
        required=False,
        choices=[
            ("", _("all")),
            ("open", _("not closed")),
            ("mine", _("reviewed by me")),
            ("held", _("on hold")),
        ],
    )
    sort = forms.ChoiceField(
        label=_("Sorted by"),
        required=False,
        choices=[
            ("newest", _("newest first")),
            ("waiting", _("longest in its state")),
            ("booked", _("booked day")),
            ("name", _("customer")),
            ("number", _("number")),
        ],
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["state"].choices = [("", _("any state")), *State.choices]  # type: ignore[attr-defined]
        self.helper = FormHelper()
        self.helper.form_tag = False
