"""What the workshop is told by mail, and whether at once, in one mail a day, or not at all."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class NewsSetting(models.Model):
    """How the workshop wants to be told; one row, and without it at once."""

    class When(models.TextChoices):
        AT_ONCE = "at once", _("at once, a mail each")
        DAILY = "daily", _("once a day, in one mail")
        NEVER = "never", _("not by mail; the inbox tells it")

    when = models.CharField(max_length=7, choices=When.choices, default=When.AT_ONCE)
    language = models.CharField(
        max_length=10, blank=True, choices=settings.LANGUAGES, help_text="empty: the account's of the address"
    )

    def __str__(self) -> str:
        return self.when


class News(models.Model):
    """One thing that happened; ``key`` names it, so that it is told once. ``said`` are its figures."""

    class Kind(models.TextChoices):
        SPEC = "spec", "a build arrived"
        WROTE = "wrote", "the customer wrote"
        CHANGED = "change", "the customer added photos or corrected how they are reached"
        BROKEN = "broken", "the plan no longer keeps a date"
        ASKED = "asked", "a vehicle that is not listed was asked for"
        STUCK = "stuck", "something promised was given up"

    key = models.CharField(max_length=120, unique=True)
    kind = models.CharField(max_length=6, choices=Kind.choices)
    job = models.ForeignKey("shop.Job", models.CASCADE, null=True, blank=True, related_name="news")
    said = models.JSONField(default=dict)
    at = models.DateTimeField(auto_now_add=True)
    told_at = models.DateTimeField(null=True, blank=True, help_text="or when there was no need any more")

    class Meta:
        ordering = ["pk"]
        indexes = [
            models.Index(fields=["id"], name="news_not_told", condition=models.Q(told_at=None)),
        ]

    def __str__(self) -> str:
        return self.key
