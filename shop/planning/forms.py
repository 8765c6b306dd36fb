"""Forms for bays, hours, closed days, people, absences, rules, and for fixing dates."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from .models import Absence, Bay, ClosedDay, OpeningHours, Person, PersonHours, PlanRules
from .words import stage_choices


def _day() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def _time() -> forms.TimeInput:
    return forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


class BayForm(forms.ModelForm):
    """One place to work."""

    class Meta:
        model = Bay
        fields = ["name", "kind", "is_open"]
        labels = {
            "name": gettext_lazy("Name"),
            "kind": gettext_lazy("Kind"),
            "is_open": gettext_lazy("In use"),
        }
        error_messages = {"name": {"unique": gettext_lazy("There is a place of that name already.")}}


class HoursForm(forms.ModelForm):
    """One stretch of working time."""

    class Meta:
        model = OpeningHours
        fields = ["weekday", "opens", "closes", "people"]
        widgets = {"opens": _time(), "closes": _time()}
        labels = {
            "weekday": gettext_lazy("Weekday"),
            "opens": gettext_lazy("Opens"),
            "closes": gettext_lazy("Closes"),
            "people": gettext_lazy("People at work"),
        }
        help_texts = {"people": gettext_lazy("Counts only until people are entered by name.")}

    def clean(self) -> dict[str, Any]:
        """Two stretches of one day do not overlap."""
        data: dict[str, Any] = super().clean() or {}
        day, opens, closes = (data.get(name) for name in ("weekday", "opens", "closes"))
        if day is not None and opens and closes:
            others = OpeningHours.objects.filter(weekday=day, opens__lt=closes, closes__gt=opens)
            if others.exclude(pk=self.instance.pk).exists():
                self.add_error("opens", _("This overlaps other hours of the same day."))
        return data


class ClosedDayForm(forms.ModelForm):
    """One day without work."""

    class Meta:
        model = ClosedDay
        fields = ["day", "name"]
        widgets = {"day": _day()}
        labels = {"day": gettext_lazy("Day"), "name": gettext_lazy("Why")}
        error_messages = {"day": {"unique": gettext_lazy("That day is closed already.")}}


class RulesForm(forms.ModelForm):
    """How the workshop plans."""

    class Meta:
        model = PlanRules
        fields = ["minimum_notice_days", "move_minutes"]
        labels = {
            "minimum_notice_days": gettext_lazy("Minimum notice, days"),
            "move_minutes": gettext_lazy("Moving a vehicle to another place, minutes"),
        }
        help_texts = {
            "minimum_notice_days": gettext_lazy("From today to the first day that is offered."),
            "move_minutes": gettext_lazy("Planned between a bay and a lift."),
        }


class PersonForm(forms.ModelForm):
    """Somebody who works here."""

    skills = forms.MultipleChoiceField(
        label=gettext_lazy("Can do"),
        help_text=gettext_lazy("Nothing ticked means everything."),
        choices=stage_choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        model = Person
        fields = ["name", "user", "skills", "is_active"]
        labels = {"name": gettext_lazy("Name"), "user": gettext_lazy("Account")}
        help_texts = {"user": gettext_lazy("So that they see their own list after signing in.")}


class AbsenceForm(forms.ModelForm):
    """Days on which somebody is away; without a last day it is one day."""

    last_day = forms.DateField(
        label=gettext_lazy("Last day"),
        required=False,
        help_text=gettext_lazy("Empty: one day only."),
        widget=_day(),
    )

    class Meta:
        model = Absence
        fields = ["person", "first_day", "last_day", "why"]
        widgets = {"first_day": _day()}
        labels = {
            "person": gettext_lazy("Who"),
            "first_day": gettext_lazy("First day"),
            "why": gettext_lazy("Why"),
        }

    def clean_last_day(self) -> date | None:
        """One day where no last one is given."""
        return self.cleaned_data.get("last_day") or self.cleaned_data.get("first_day")


class PersonHoursForm(forms.ModelForm):
    """One stretch of somebody's own hours."""

    class Meta:
        model = PersonHours
        fields = ["person", "weekday", "starts", "ends"]
        widgets = {"starts": _time(), "ends": _time()}
        labels = {
            "person": gettext_lazy("Who"),
            "weekday": gettext_lazy("Weekday"),
            "starts": gettext_lazy("From"),
            "ends": gettext_lazy("To"),
        }


class DatesForm(forms.Form):
    """A day for a job to begin, whether the customer is mailed, and short notice agreed."""

    day = forms.DateField(label=gettext_lazy("Begins on"), widget=_day())
    tell = forms.BooleanField(label=gettext_lazy("Mail the customer these dates"), required=False)
    short_notice = forms.BooleanField(
        label=gettext_lazy("The customer has agreed to short notice"), required=False
    )
    version = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)


class WhyForm(forms.Form):
    """A reason, and whether the customer is mailed."""

    why = forms.CharField(label=gettext_lazy("Why"), max_length=300, strip=True)
    tell = forms.BooleanField(label=gettext_lazy("Mail the customer"), required=False)
    version = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)


FORMS: dict[str, type[forms.ModelForm]] = {
    "bay": BayForm,
    "hours": HoursForm,
    "closed": ClosedDayForm,
}
PEOPLE_FORMS: dict[str, type[forms.ModelForm]] = {
    "person": PersonForm,
    "absence": AbsenceForm,
    "person_hours": PersonHoursForm,
}
