"""What became of a date that was fixed, and days that a customer would rather come."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.jobs.models import Job


class BrokenPromise(models.Model):
    """A date that was fixed with a customer and that the plan no longer keeps; open until it is settled."""

    class Because(models.TextChoices):
        CLOSED = "closed", _("the workshop is closed then")
        PLACE = "place", _("its place is not free")
        PERSON = "person", _("nobody who can do it is there")
        PARTS = "parts", _("parts come later")
        BEFORE = "before", _("the work before it takes longer")
        NOT_BEGUN = "not begun", _("it was not begun in time")
        UNPLANNED = "unplanned", _("it can no longer be planned")

    class Settled(models.TextChoices):
        HOLDS = "holds", _("the plan keeps it again")
        REBOOKED = "rebooked", _("new dates")
        STOOD_BY = "stood by", _("kept all the same")
        ENDED = "ended", _("the job went another way")

    job = models.ForeignKey(Job, models.CASCADE, related_name="broken_promises")
    because = models.CharField(max_length=10, choices=Because.choices)
    promised_start = models.DateTimeField(null=True, blank=True)
    promised_ready = models.DateTimeField(null=True, blank=True)
    planned_start = models.DateTimeField(null=True, blank=True)
    planned_ready = models.DateTimeField(null=True, blank=True)
    found_at = models.DateTimeField(default=timezone.now)
    settled = models.CharField(max_length=10, choices=Settled.choices, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["found_at", "pk"]
        indexes = [models.Index(fields=["settled"], name="broken_promise_settled")]
        constraints = [
            models.UniqueConstraint(
                fields=["job"], condition=models.Q(settled=""), name="one_open_broken_promise_a_job"
            )
        ]

    def __str__(self) -> str:
        return f"{self.job} {self.because}"

    @property
    def mark(self) -> str:
        """What a page showed of it: a form carries it back, so that nobody decides about other dates."""
        dates = (self.promised_start, self.promised_ready, self.planned_start, self.planned_ready)
        return "/".join([str(self.pk), *(f"{day.timestamp():.0f}" if day else "" for day in dates)])


class DateWish(models.Model):
    """Days that a customer would rather come; open until staff take one or say no."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="date_wishes")
    days = models.JSONField(default=list, help_text="ISO days, the best first")
    note = models.CharField(max_length=500, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    answer = models.CharField(
        max_length=8, blank=True, choices=[("taken", _("taken")), ("no", _("not possible"))]
    )
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["made_at", "pk"]
        indexes = [models.Index(fields=["answer"], name="date_wish_answered")]
        constraints = [
            models.UniqueConstraint(fields=["job"], condition=models.Q(answer=""), name="one_open_wish_a_job")
        ]

    def __str__(self) -> str:
        return f"{self.job}: {', '.join(self.days)}"

    @property
    def mark(self) -> str:
        """What a page showed of it: a newer wish takes the place of an open one."""
        return "/".join([str(self.pk), *self.days])
