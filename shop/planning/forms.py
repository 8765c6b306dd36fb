"""Forms for bays, opening hours and closed days."""

from __future__ import annotations

from typing import Any

from django import forms

from .models import Bay, ClosedDay, OpeningHours


class BayForm(forms.ModelForm):
    """One place to work."""

    class Meta:
        model = Bay
        fields = ["name", "kind", "is_open"]


class HoursForm(forms.ModelForm):
    """One stretch of working time."""

    class Meta:
        model = OpeningHours
        fields = ["weekday", "opens", "closes", "people"]
        widgets = {
            "opens": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
            "closes": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        }
        labels = {"people": "People at work"}

    def clean(self) -> dict[str, Any]:
        """Two stretches of one day do not overlap."""
        data: dict[str, Any] = super().clean() or {}
        day, opens, closes = (data.get(name) for name in ("weekday", "opens", "closes"))
        if day is not None and opens and closes:
            others = OpeningHours.objects.filter(weekday=day, opens__lt=closes, closes__gt=opens)
            if others.exclude(pk=self.instance.pk).exists():
                self.add_error("opens", "This overlaps other hours of the same day.")
        return data


class ClosedDayForm(forms.ModelForm):
    """One day without work."""

    class Meta:
        model = ClosedDay
        fields = ["day", "name"]
        widgets = {"day": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        labels = {"name": "Why"}


FORMS: dict[str, type[forms.ModelForm]] = {"bay": BayForm, "hours": HoursForm, "closed": ClosedDayForm}
