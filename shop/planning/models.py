"""Where work happens, when and by whom: bays, hours, closed days, people; and what became of promises."""

from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models

from .models_hours import Bay, ClosedDay, OpeningHours
from .models_people import Absence, Person, PersonHours
from .models_promises import BrokenPromise, DateWish

__all__ = [
    "Absence",
    "Bay",
    "BrokenPromise",
    "ClosedDay",
    "DateWish",
    "OpeningHours",
    "Person",
    "PersonHours",
    "PlanRules",
    "PlanRun",
]


class PlanRules(models.Model):
    """How the workshop plans; one row."""

    minimum_notice_days = models.PositiveSmallIntegerField(
        default=2, validators=[MaxValueValidator(60)], help_text="from today to the first day offered"
    )
    move_minutes = models.PositiveSmallIntegerField(
        default=15, validators=[MaxValueValidator(240)], help_text="to bring a vehicle to another place"
    )

    def __str__(self) -> str:
        return "How the workshop plans"

    @classmethod
    def current(cls) -> PlanRules:
        """Return the row, or what stands until there is one."""
        return cls.objects.first() or cls()


class PlanRun(models.Model):
    """Where planning stands; one row. ``asked`` counts wishes, ``begun`` and ``kept`` how far they are met.

    All wishes that come in before planning begins are met by one run.
    """

    asked = models.PositiveIntegerField(default=0)
    begun = models.PositiveIntegerField(default=0)
    kept = models.PositiveIntegerField(default=0)
    thorough = models.BooleanField(default=False, help_text="someone wants the solver to look")
    stage = models.CharField(max_length=20, blank=True)
    percent = models.PositiveSmallIntegerField(default=0)
    begun_at = models.DateTimeField(null=True, blank=True)
    kept_at = models.DateTimeField(null=True, blank=True)
    steps = models.PositiveIntegerField(default=0)
    jobs = models.PositiveIntegerField(default=0)
    problems = models.JSONField(
        default=list, blank=True, help_text="[job number or empty, reason code, which]"
    )

    def __str__(self) -> str:
        return f"{self.kept} of {self.asked} wishes met"

    @property
    def is_waiting(self) -> bool:
        """Whether a wish is not met yet."""
        return self.kept < self.asked
