"""A build that was sent by somebody whose mail address is not proved yet."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import models
from django.utils import timezone

from .models import Spec
from .tokens import Link, new_nonce

CONFIRM_LINK = Link("confirm")
LASTS = timedelta(days=2)


def expiry() -> datetime:
    """Return when a link to confirm that is made now stops working."""
    return timezone.now() + LASTS


class PendingSend(models.Model):
    """What is sent to the workshop once the link in the mail has been opened; ``selection`` says of what."""

    token = CONFIRM_LINK

    spec = models.OneToOneField(Spec, models.CASCADE, related_name="pending")
    email = models.EmailField()
    contact = models.JSONField()
    selection = models.JSONField()
    terms_version = models.CharField(max_length=20, blank=True)
    terms_text = models.TextField(blank=True)
    privacy_version = models.CharField(max_length=20, blank=True)
    nonce = models.CharField(max_length=40, default=new_nonce)
    digest = models.CharField(max_length=64, unique=True)
    old_digest = models.CharField(max_length=64, unique=True, null=True, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField(default=expiry)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.spec}, to be confirmed"

    def renew(self) -> None:
        """Make a new link; the caller saves. The one before opens nothing any more."""
        CONFIRM_LINK.renew(self)
        self.made_at, self.expires_at = timezone.now(), expiry()
