"""Work promised inside a transaction and done after it."""

from __future__ import annotations

from django.db import models


class OutboxEntry(models.Model):
    """One promised task; ``key`` makes promising the same thing twice one promise."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        DONE = "done", "done"
        FAILED = "failed", "given up"

    kind = models.CharField(max_length=60)
    key = models.CharField(max_length=200, unique=True)
    payload = models.JSONField(default=dict)
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING, db_index=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_attempt_at = models.DateTimeField()
    last_error = models.TextField(blank=True)
    made_at = models.DateTimeField(auto_now_add=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "outbox entries"

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"
