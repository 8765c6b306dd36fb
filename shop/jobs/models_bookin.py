"""How a vehicle came in: photos all round, mileage, condition, keys; kept for the handover."""

from __future__ import annotations

import secrets
from hashlib import sha256

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .models import Job


class BookIn(models.Model):
    """The record of one vehicle coming in; complete once ``done_at`` is set."""

    class LockingKey(models.TextChoices):
        HERE = "here", _("here")
        NONE = "none", _("no locking fasteners")
        MISSING = "missing", _("missing")

    job = models.OneToOneField(Job, models.CASCADE, primary_key=True, related_name="book_in")
    mileage_km = models.PositiveIntegerField(null=True, blank=True)
    mileage_why = models.CharField(max_length=200, blank=True, help_text="why there is no mileage")
    keys = models.PositiveSmallIntegerField(null=True, blank=True, help_text="how many were handed in")
    locking_key = models.CharField(max_length=7, choices=LockingKey.choices, blank=True)
    photos_why = models.CharField(max_length=200, blank=True, help_text="why there are fewer photos")
    note = models.CharField(max_length=500, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "book-ins"

    def __str__(self) -> str:
        return f"book-in of job {self.job_id}"

    @property
    def mark(self) -> str:
        """What a page showed as read: a form carries it back, so that nothing is written over unseen."""
        if self.done_at is None:
            return ""
        read = (self.mileage_km, self.keys, self.locking_key, self.mileage_why, self.photos_why, self.note)
        return sha256("|".join(map(str, read)).encode()).hexdigest()[:32]


def book_in_path(photo: BookInPhoto, filename: str) -> str:
    """Return a random stored name; nothing of the sender's file name survives."""
    return f"book-in/{secrets.token_hex(16)}.jpg"


class BookInPhoto(models.Model):
    """One photo of a vehicle as it came in."""

    class Side(models.TextChoices):
        FRONT = "front", _("front")
        LEFT = "left", _("left side")
        REAR = "rear", _("rear")
        RIGHT = "right", _("right side")
        INSIDE = "inside", _("inside")
        DETAIL = "detail", _("detail")

    book_in = models.ForeignKey(BookIn, models.CASCADE, related_name="photos")
    side = models.CharField(max_length=6, choices=Side.choices)
    file = models.FileField(upload_to=book_in_path)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.side} of job {self.book_in_id}"


class ConditionMark(models.Model):
    """One spot on our picture of the vehicle that was not as new when it came in.

    A picture is 12 squares across, A to L, and 6 down, 1 to 6: a square is found by tap, key and word alike.
    """

    class View(models.TextChoices):
        LEFT = "left", _("left side")
        RIGHT = "right", _("right side")
        FRONT = "front", _("front")
        REAR = "rear", _("rear")

    class Kind(models.TextChoices):
        SCRATCH = "scratch", _("scratch")
        DENT = "dent", _("dent")
        CHIP = "chip", _("stone chip")
        CRACK = "crack", _("crack")
        RUST = "rust", _("rust")
        MISSING = "missing", _("missing part")
        OTHER = "other", _("other")

    book_in = models.ForeignKey(BookIn, models.CASCADE, related_name="marks")
    number = models.PositiveSmallIntegerField()
    view = models.CharField(max_length=5, choices=View.choices)
    square = models.CharField(max_length=2, help_text="A1 to L6")
    kind = models.CharField(max_length=7, choices=Kind.choices)
    note = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["book_in", "number"]
        constraints = [models.UniqueConstraint(fields=["book_in", "number"], name="one_mark_a_number")]

    def __str__(self) -> str:
        return f"{self.view} {self.square}: {self.kind}"
