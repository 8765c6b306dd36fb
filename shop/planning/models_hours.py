"""Where work happens and when: bays, opening hours, closed days."""

from __future__ import annotations

from datetime import time

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy


def hours_in_words(day: str, opens: time, closes: time) -> str:
    """Return a stretch of a weekday in the reader's language: ``Monday 08:00 to 12:00``."""
    figures = {"day": day, "opens": f"{opens:%H:%M}", "closes": f"{closes:%H:%M}"}
    return _("%(day)s %(opens)s to %(closes)s") % figures


class Bay(models.Model):
    """One place that one vehicle or one set of loose parts holds at a time."""

    class Kind(models.TextChoices):
        BAY = "bay", gettext_lazy("bay")
        LIFT = "lift", gettext_lazy("lift")
        BOOTH = "booth", gettext_lazy("booth")
        BENCH = "bench", gettext_lazy("bench")

    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=6, choices=Kind.choices)
    position = models.PositiveSmallIntegerField(default=0)
    is_open = models.BooleanField("in use", default=True)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class OpeningHours(models.Model):
    """One stretch of working time on one weekday, and how many people work in it."""

    class Weekday(models.IntegerChoices):
        MONDAY = 0, gettext_lazy("Monday")
        TUESDAY = 1, gettext_lazy("Tuesday")
        WEDNESDAY = 2, gettext_lazy("Wednesday")
        THURSDAY = 3, gettext_lazy("Thursday")
        FRIDAY = 4, gettext_lazy("Friday")
        SATURDAY = 5, gettext_lazy("Saturday")
        SUNDAY = 6, gettext_lazy("Sunday")

    weekday = models.PositiveSmallIntegerField(choices=Weekday.choices)
    opens = models.TimeField()
    closes = models.TimeField()
    people = models.PositiveSmallIntegerField(
        default=2, validators=[MinValueValidator(1), MaxValueValidator(50)]
    )

    class Meta:
        ordering = ["weekday", "opens"]
        verbose_name_plural = "opening hours"

    def __str__(self) -> str:
        return hours_in_words(self.get_weekday_display(), self.opens, self.closes)

    def clean(self) -> None:
        """Closing comes after opening."""
        if self.opens and self.closes and self.closes <= self.opens:
            night = _("A night goes in two: until 23:59, and from 00:00 of the next day.")
            raise ValidationError({"closes": f"{_('Closing must come after opening.')} {night}"})


class ClosedDay(models.Model):
    """A day without work: a holiday, a fair, stocktaking."""

    day = models.DateField(unique=True)
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day} {self.name}"
