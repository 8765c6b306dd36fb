"""Who works, what they can do, and when they are there."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext_lazy as _

from configurator.catalogue.models import STAGES

from .models_hours import OpeningHours, hours_in_words


class Person(models.Model):
    """Someone who works: what they can do and, through ``hours`` and ``absences``, when they are there."""

    name = models.CharField(max_length=80, unique=True)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.SET_NULL, related_name="worker", null=True, blank=True
    )
    skills = models.JSONField(default=list, blank=True, help_text="stages of work; empty is every stage")
    is_active = models.BooleanField(_("works here"), default=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        """Skills are stages of work."""
        if set(self.skills or []) - set(STAGES):
            raise ValidationError({"skills": _("Choose from the list.")})


class PersonHours(models.Model):
    """One stretch of one weekday in which a person works; without any, they work whenever it is open."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField(choices=OpeningHours.Weekday.choices)
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta:
        ordering = ["person", "weekday", "starts"]
        verbose_name_plural = "hours of people"

    def __str__(self) -> str:
        return hours_in_words(self.get_weekday_display(), self.starts, self.ends)

    def clean(self) -> None:
        """The end comes after the start."""
        if self.starts and self.ends and self.ends <= self.starts:
            raise ValidationError({"ends": _("The end must come after the start.")})


class Absence(models.Model):
    """Whole days on which a person is away: one day, or from one to another."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="absences")
    first_day = models.DateField()
    last_day = models.DateField()
    why = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first_day", "person"]

    def __str__(self) -> str:
        return f"{self.person} {self.first_day} to {self.last_day}"

    def clean(self) -> None:
        """The last day is not before the first."""
        if self.first_day and self.last_day and self.last_day < self.first_day:
            raise ValidationError({"last_day": _("The last day is before the first.")})
