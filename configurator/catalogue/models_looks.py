"""Looks that the workshop has composed: a selection with a name, for one vehicle."""

from __future__ import annotations

from django.db import models

from .models_fields import HEX, code_field, retired_field
from .models_vehicles import Generation


class ReadyLook(models.Model):
    """A ready-made look: what is chosen, by code, for a vehicle of one generation.

    It states nothing of the vehicle but the colour that it is shown in. What it names may be retired or stop
    going together; then it is kept here, and not offered until it stands again. ``finishes`` lists words such
    as ``mirror-caps:accent``.
    """

    class Way(models.TextChoices):
        NEAREST = "nearest", "the paint nearest to it"
        MIXED = "mixed", "mixed"
        DECIDE = "decide", "decided with the workshop"

    code = code_field()
    generation = models.ForeignKey(Generation, models.PROTECT, related_name="looks")
    name = models.CharField(max_length=120)
    summary = models.CharField(max_length=240, blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    body_finish = models.CharField(max_length=60, blank=True, help_text="the colour that it is shown in")
    accent = models.CharField(max_length=60, blank=True)
    accent_wanted_hex = models.CharField(max_length=7, blank=True, validators=[HEX])
    accent_way = models.CharField(max_length=8, choices=Way.choices, default=Way.NEAREST)
    options = models.JSONField(default=list, blank=True)
    finishes = models.JSONField(default=list, blank=True)
    front_wheel = models.CharField(max_length=60, blank=True)
    front_tyre = models.CharField(max_length=60, blank=True)
    front_spacer = models.CharField(max_length=60, blank=True)
    rear_wheel = models.CharField(max_length=60, blank=True)
    rear_tyre = models.CharField(max_length=60, blank=True)
    rear_spacer = models.CharField(max_length=60, blank=True)
    retired = retired_field()

    class Meta:
        ordering = ["generation__code", "position", "code"]

    def __str__(self) -> str:
        return self.name
