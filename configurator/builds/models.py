"""A customer's build, its frozen revisions and its photos."""

from __future__ import annotations

import secrets
from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _

from .sentences import SENTENCES, say
from .tokens import Link, new_nonce

BUILD_LINK, SHARE_LINK = Link("build"), Link("share", "share_")


def new_token() -> str:
    """Return what a photo is called in addresses. It opens nothing by itself: the link before it does."""
    return secrets.token_urlsafe(24)


class Spec(models.Model):
    """A build under way; it saves itself under a private link and needs no account."""

    token = BUILD_LINK
    share_token = SHARE_LINK
    nonce = models.CharField(max_length=40, default=new_nonce)
    digest = models.CharField(max_length=64, unique=True)
    old_digest = models.CharField(max_length=64, unique=True, null=True, blank=True)
    share_nonce = models.CharField(max_length=40, default=new_nonce)
    share_digest = models.CharField(max_length=64, unique=True)
    share_old_digest = models.CharField(max_length=64, unique=True, null=True, blank=True)
    name = models.CharField(max_length=80, blank=True)
    selection = models.JSONField()
    contact = models.JSONField(default=dict, blank=True, help_text="what was typed so far, kept for the form")
    language = models.CharField(max_length=10, default="en-gb")
    catalogue_version = models.PositiveIntegerField()
    evaluation = models.JSONField(
        null=True, blank=True, help_text="as last shown; tells what has changed since"
    )
    is_sendable = models.BooleanField(
        default=False, help_text="nothing stands against what was last shown, as of its catalogue"
    )
    posted_digest = models.CharField(
        max_length=64, blank=True, help_text="of the choices as the browser posted those that are stored"
    )
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    before_look = models.JSONField(
        null=True, blank=True, help_text="what a look that was taken, or given back, stands in place of"
    )
    back_to = models.CharField(
        max_length=200, blank=True, db_index=True, help_text="of a working copy: the page it was begun from"
    )

    class Meta:
        ordering = ["-changed_at"]

    def __str__(self) -> str:
        return self.name or f"build {self.pk}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Store it, a new one with the digests of its links."""
        BUILD_LINK.fill(self)
        SHARE_LINK.fill(self)
        super().save(*args, **kwargs)

    @property
    def is_copy(self) -> bool:
        """Whether staff choose on it for somebody else: it is never sent, and goes back where it began."""
        return bool(self.back_to)


class SpecRevision(models.Model):
    """What was agreed to be looked at: selection and evaluation, never changed after it is made."""

    spec = models.ForeignKey(Spec, models.PROTECT, related_name="revisions")
    number = models.PositiveSmallIntegerField()
    selection = models.JSONField()
    evaluation = models.JSONField()
    catalogue_version = models.PositiveIntegerField()
    name = models.CharField(max_length=120)
    email = models.EmailField()
    phone = models.CharField(max_length=40, blank=True)
    registration = models.CharField(max_length=20, blank=True)
    vin = models.CharField(max_length=17, blank=True)
    vin_warning = models.CharField(max_length=200, blank=True)
    notes = models.TextField(blank=True)
    language = models.CharField(max_length=10, default="en-gb")
    terms_version = models.CharField(max_length=20, blank=True)
    terms_text = models.TextField(blank=True)
    privacy_version = models.CharField(max_length=20, blank=True, help_text="of the notice shown at sending")
    made_by = models.CharField(max_length=150, blank=True, help_text="empty: the customer")
    why = models.TextField(blank=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["spec", "number"]
        constraints = [models.UniqueConstraint(fields=["spec", "number"], name="one_revision_a_number")]

    def __str__(self) -> str:
        return f"{self.spec} revision {self.number}"


def photo_path(photo: Photo, filename: str) -> str:
    """Return a random stored name; nothing of the sender's file name survives."""
    return f"photos/{secrets.token_hex(16)}.{'bin' if filename.endswith('.bin') else 'jpg'}"


class Photo(models.Model):
    """A customer's photo: kept raw only until it has been cleaned, then only the clean copy."""

    class State(models.TextChoices):
        WAITING = "waiting", _("being prepared")
        READY = "ready", _("ready")
        REFUSED = "refused", _("not usable")

    token = models.CharField(max_length=40, unique=True, default=new_token)
    spec = models.ForeignKey(Spec, models.CASCADE, related_name="photos")
    label = models.CharField(max_length=100, blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    refusal = models.JSONField(
        default=dict, blank=True, help_text="why it cannot be used: id and figures of a sentence"
    )
    message = models.CharField(max_length=300, blank=True, help_text="the same of older rows, in English")
    raw = models.FileField(upload_to=photo_path, blank=True)
    image = models.FileField(upload_to=photo_path, blank=True)
    thumbnail = models.FileField(upload_to=photo_path, blank=True)
    width_px = models.PositiveIntegerField(default=0)
    height_px = models.PositiveIntegerField(default=0)
    size_bytes = models.PositiveBigIntegerField(default=0, help_text="of what is stored of it")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["made_at", "pk"]

    def __str__(self) -> str:
        return self.label or f"photo {self.pk}"

    @property
    def may_go(self) -> bool:
        """Whether its customer may take it away: what was sent with the build stays with it."""
        sent_at = self.spec.sent_at
        return not sent_at or self.state == self.State.REFUSED or self.made_at > sent_at

    @property
    def why_not(self) -> str:
        """Why it cannot be used, as a text with values; of older rows as it was written."""
        if self.refusal.get("id") not in SENTENCES:
            return self.message
        return say(self.refusal["id"], **self.refusal["figures"])
