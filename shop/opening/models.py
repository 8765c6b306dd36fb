"""Whether customers are let in, how the site looks, and what was set when by whom."""

from __future__ import annotations

import secrets

from django.db import models
from django.utils import timezone


def logo_path(state: SiteState, filename: str) -> str:
    """Return a stored name that no earlier logo had, so that no browser shows an old one."""
    return f"look/{secrets.token_hex(8)}.png"


class SiteState(models.Model):
    """The site as its workshop has set it up; one row.

    A site without this row is open: it was running before it could be closed.
    ``confirmed`` says of each step of setting up who last saved it, and when.
    """

    opened_at = models.DateTimeField(null=True, blank=True)
    first_opened_at = models.DateTimeField(null=True, blank=True)
    languages = models.JSONField(default=list, blank=True, help_text="offered to customers; empty: all")
    accent = models.CharField(max_length=7, blank=True, help_text="of buttons and links; empty: the usual")
    logo = models.FileField(upload_to=logo_path, blank=True)
    logo_width_px = models.PositiveIntegerField(default=0)
    logo_height_px = models.PositiveIntegerField(default=0)
    confirmed = models.JSONField(default=dict, blank=True)
    borrowed_at = models.DateTimeField(
        null=True, blank=True, help_text="when the demonstration's goods, with its prices, were taken over"
    )

    def __str__(self) -> str:
        return "open" if self.opened_at else "not open yet"


class SettingChange(models.Model):
    """One change of a setting, or an opening or closing; ``before`` is what stood there."""

    step = models.CharField(max_length=20)
    made_at = models.DateTimeField(default=timezone.now)
    by = models.CharField(max_length=150)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["step", "-id"], name="setting_change_by_step")]

    def __str__(self) -> str:
        return f"{self.step} by {self.by}"
