"""What tracking keeps: link requests as keyed digests, calendar entries as last told, staff's addresses."""

from __future__ import annotations

import secrets
import uuid
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone

from configurator.builds.tokens import Link, new_nonce

CALENDAR_LINK = Link("calendar")
NEW_ADDRESS_LINK = Link("new_address")
NEW_ADDRESS_LASTS = timedelta(days=2)


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


def new_uid() -> str:
    """Return an identity that no other workshop can have given out (RFC 7986, 5.3: a UUID)."""
    return str(uuid.uuid4())


class CalendarEntry(models.Model):
    """One date of a job as calendars were last told it; its identity is for ever, ``sequence`` only grows."""

    class What(models.TextChoices):
        BRING = "bring", "bring the vehicle"
        COLLECT = "collect", "collect the vehicle"
        RECHECK = "recheck", "wheel fasteners checked"

    job = models.ForeignKey("shop.Job", models.CASCADE, related_name="calendar_entries")
    what = models.CharField(max_length=8, choices=What.choices)
    uid = models.CharField(max_length=40, unique=True, default=new_uid)
    sequence = models.PositiveIntegerField(default=0, help_text="RFC 5545, 3.8.7.4")
    day = models.DateField(db_index=True)
    starts_at = models.DateTimeField(null=True, blank=True, help_text="none: the whole day")
    cancelled = models.BooleanField(default=False)
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["job", "pk"]
        verbose_name_plural = "calendar entries"
        constraints = [models.UniqueConstraint(fields=["job", "what"], name="one_calendar_entry_a_date")]

    def __str__(self) -> str:
        return f"{self.job_id} {self.what} {self.day}"


def new_calendar_token() -> str:
    """Return what calendars' addresses were made of before; an earlier migration names it."""
    return secrets.token_urlsafe(32)


class CalendarAddress(models.Model):
    """The private address under which one person's calendar program reads the workshop's dates."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="calendar_address")
    token = CALENDAR_LINK
    nonce = models.CharField(max_length=40, default=new_nonce)
    digest = models.CharField(max_length=64, unique=True)
    old_digest = models.CharField(max_length=64, unique=True, null=True, blank=True)
    language = models.CharField(max_length=8)
    made_at = models.DateTimeField(default=timezone.now)
    read_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "calendar addresses"

    def __str__(self) -> str:
        return f"calendar of {self.user}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Store it, a new one with the digest of its address."""
        CALENDAR_LINK.fill(self)
        super().save(*args, **kwargs)


def new_address_expiry() -> datetime:
    """Return when a link that proves an address, made now, stops working."""
    return timezone.now() + NEW_ADDRESS_LASTS


class NewAddress(models.Model):
    """A mail address that a customer wants to be reached at, until the link mailed to it was opened."""

    token = NEW_ADDRESS_LINK

    job = models.OneToOneField("shop.Job", models.CASCADE, related_name="new_address")
    email = models.EmailField()
    nonce = models.CharField(max_length=40, default=new_nonce)
    digest = models.CharField(max_length=64, unique=True)
    old_digest = models.CharField(max_length=64, unique=True, null=True, blank=True)
    expires_at = models.DateTimeField(default=new_address_expiry)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "new addresses"

    def __str__(self) -> str:
        return f"{self.job}, to be confirmed"

    def renew(self) -> None:
        """Make a new link; the caller saves. The one before opens nothing any more."""
        NEW_ADDRESS_LINK.renew(self)
        self.expires_at = new_address_expiry()
