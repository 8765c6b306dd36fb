"""Where work happens and when: bays, opening hours, closed days."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


class Bay(models.Model):
    """One place that one vehicle or one set of loose parts holds at a time."""

    class Kind(models.TextChoices):
        BAY = "bay", "bay"
        LIFT = "lift", "lift"
        BOOTH = "booth", "booth"
        BENCH = "bench", "bench"

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
        MONDAY = 0, "Monday"
        TUESDAY = 1, "Tuesday"
        WEDNESDAY = 2, "Wednesday"
        THURSDAY = 3, "Thursday"
        FRIDAY = 4, "Friday"
        SATURDAY = 5, "Saturday"
        SUNDAY = 6, "Sunday"

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
        return f"{self.get_weekday_display()} {self.opens:%H:%M} to {self.closes:%H:%M}"

    def clean(self) -> None:
        """Closing comes after opening."""
        if self.opens and self.closes and self.closes <= self.opens:
            raise ValidationError({"closes": "Closing must come after opening."})


class ClosedDay(models.Model):
    """A day without work: a holiday, a fair, stocktaking."""

    day = models.DateField(unique=True)
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day} {self.name}"
