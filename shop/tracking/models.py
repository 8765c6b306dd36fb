"""Who asked for a new link and when: what the limit counts. Addresses are kept as keyed digests only."""

from __future__ import annotations

from django.db import models
from django.utils import timezone


class LinkRequest(models.Model):
    """One request for a new private link."""

    email_digest = models.CharField(max_length=64, db_index=True)
    sender_digest = models.CharField(max_length=64, db_index=True)
    at = models.DateTimeField(default=timezone.now, db_index=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"asked {self.at:%Y-%m-%d %H:%M}"
