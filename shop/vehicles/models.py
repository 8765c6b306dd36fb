"""What was measured at a vehicle, by whom, when and how."""

from __future__ import annotations

import secrets

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _


def reading_photo_path(reading: AxleReading, filename: str) -> str:
    """Return a random stored name."""
    return f"readings/{secrets.token_hex(16)}.jpg"


class AxleReading(models.Model):
    """One value of one axle as somebody measured it: every figure read, and what follows for the catalogue.

    The newest reading of a field is the one that counts. ``disputed_at`` asks for it to be measured again;
    a newer reading answers that.
    """

    class How(models.TextChoices):
        RULE = "rule", _("straight edge and rule")
        CALIPER = "caliper", _("caliper or depth gauge")
        TEMPLATE = "template", _("template or profile gauge")
        THREAD = "thread", _("thread gauge")
        MAKER = "maker", _("the vehicle maker’s figure")
        JOB = "job", _("measured for a job")

    generation = models.CharField(max_length=60, help_text="code; the reading outlives the row")
    position = models.CharField(max_length=5)
    field = models.CharField(max_length=40)
    readings = models.JSONField(default=list, help_text="as read: lengths, [radius, y] pairs, or a text")
    value = models.JSONField(help_text="as the catalogue has it")
    tolerance_mm = models.FloatField(null=True, blank=True)
    how = models.CharField(max_length=10, choices=How.choices)
    note = models.CharField(max_length=200, blank=True)
    photo = models.FileField(upload_to=reading_photo_path, blank=True)
    job = models.ForeignKey("shop.Job", models.SET_NULL, null=True, blank=True, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    version = models.PositiveIntegerField(null=True, blank=True, help_text="of the catalogue that it made")
    disputed_at = models.DateTimeField(null=True, blank=True)
    disputed_by = models.CharField(max_length=150, blank=True)
    disputed_why = models.CharField(max_length=200, blank=True)

    objects: models.Manager[AxleReading]

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["generation", "position", "field"], name="readings_of_a_field")]

    def __str__(self) -> str:
        return f"{self.generation} {self.position} {self.field}"
