"""How often new links were asked for: what the limits count. Addresses are kept as keyed digests only."""

from __future__ import annotations

from django.db import models


class LinkRequest(models.Model):
    """One of the few requests that one address, or one sender, has within one hour.

    The constraint is the limit: two requests at the same moment cannot take the same slot.
    """

    digest = models.CharField(max_length=64)
    hour = models.PositiveIntegerField(help_text="hours since 1970")
    slot = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["digest", "hour", "slot"], name="one_link_request_a_slot")
        ]

    def __str__(self) -> str:
        return f"request {self.slot} in hour {self.hour}"
