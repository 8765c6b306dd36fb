"""What happened to a job: written once, never changed, never removed."""

from __future__ import annotations

from typing import Any, NoReturn

from django.conf import settings
from django.db import models
from django.utils import timezone

from .models import Job


class AppendOnly(models.QuerySet[Any]):
    """Rows that are written once: no update, no delete."""

    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("history is only ever added to")

    def delete(self) -> NoReturn:
        raise TypeError("history is only ever added to")


class HistoryEntry(models.Model):
    """One thing that happened to a job; never changed, never removed."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="history")
    at = models.DateTimeField(default=timezone.now)
    who = models.CharField(max_length=150, help_text="a user name, or customer, or system")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    action = models.CharField(max_length=60, help_text="dotted and stable, such as job.opened")
    from_state = models.CharField(max_length=16, blank=True)
    to_state = models.CharField(max_length=16, blank=True)
    why = models.TextField(blank=True)
    data = models.JSONField(default=dict, blank=True)

    objects = AppendOnly.as_manager()

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "history entries"
        indexes = [models.Index(fields=["job", "action"])]

    def __str__(self) -> str:
        return f"{self.job} {self.action}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write it once."""
        if self.pk is not None:
            raise TypeError("history is only ever added to")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise TypeError("history is only ever added to")
