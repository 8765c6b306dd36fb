"""A request for a vehicle that is not listed: what was asked, what was said of it, photos and mails."""

from __future__ import annotations

import secrets
from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from configurator.builds.models import new_token
from configurator.builds.tokens import Link, new_nonce

REQUEST_LINK = Link("vehicle-request")


class VehicleRequest(models.Model):
    """One vehicle that somebody asked for, from the note to its end.

    ``asks_us`` says that the workshop has to do something; ``generation`` names the vehicle that answers it,
    once one does.
    """

    class State(models.TextChoices):
        DRAFT = "draft", _("being written")
        UNPROVED = "unproved", _("waits for the link in the mail")
        OPEN = "open", _("asked for")
        TAKEN = "taken up", _("taken up")
        READY = "ready", _("can be built on")
        DECLINED = "declined", _("declined")
        WITHDRAWN = "withdrawn", _("withdrawn")

    token = REQUEST_LINK
    nonce = models.CharField(max_length=40, default=new_nonce)
    digest = models.CharField(max_length=64, unique=True)
    old_digest = models.CharField(max_length=64, unique=True, null=True, blank=True)
    press: models.CharField[Any, Any] = models.CharField(
        max_length=40, unique=True, help_text="of the form; a second press sends nothing"
    )
    state = models.CharField(max_length=9, choices=State.choices, default=State.DRAFT, db_index=True)
    state_since = models.DateTimeField(default=timezone.now)
    asks_us = models.BooleanField(default=False)
    maker = models.CharField(max_length=80, blank=True)
    model = models.CharField(max_length=80, blank=True)
    year = models.CharField(max_length=40, blank=True)
    wish = models.TextField(blank=True)
    name = models.CharField(max_length=120, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    language = models.CharField(max_length=10, default="en-gb")
    consent_text = models.TextField(blank=True, help_text="what was agreed to when it was sent")
    generation = models.CharField(max_length=60, blank=True, help_text="code of the vehicle that answers it")
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True,
        help_text="who noted it for somebody who called or came by",
    )  # fmt: skip
    made_at = models.DateTimeField(default=timezone.now)
    sent_at = models.DateTimeField(null=True, blank=True)

    objects: models.Manager[VehicleRequest]

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.vehicle or f"request {self.pk}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Store it, a new one with the digest of its link."""
        REQUEST_LINK.fill(self)
        super().save(*args, **kwargs)

    @property
    def vehicle(self) -> str:
        """The vehicle in the customer's own words."""
        return " ".join(word for word in (self.maker, self.model, self.year) if word)

    @property
    def is_over(self) -> bool:
        """Whether nothing more is to come of it unless somebody writes."""
        return self.state in (self.State.READY, self.State.DECLINED, self.State.WITHDRAWN)


class RequestEntry(models.Model):
    """One thing said or done about a request, in order; only ``CALL`` is not for the customer's eyes."""

    class Kind(models.TextChoices):
        SENT = "sent", _("asked")
        WORD = "word", _("the customer wrote")
        ANSWER = "answer", _("we wrote")
        CALL = "call", _("note of a call")
        TAKEN = "taken", _("taken up")
        VEHICLE = "vehicle", _("vehicle named")
        TOLD = "told", _("told that it can be built on")
        DECLINED = "declined", _("declined")
        WITHDRAWN = "withdrawn", _("withdrawn")

    request = models.ForeignKey(VehicleRequest, models.CASCADE, related_name="entries")
    kind = models.CharField(max_length=9, choices=Kind.choices)
    text = models.TextField(blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True)
    at = models.DateTimeField(default=timezone.now)
    press: models.CharField[Any, Any] = models.CharField(max_length=40, unique=True)

    objects: models.Manager[RequestEntry]

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "request entries"

    def __str__(self) -> str:
        return f"{self.request_id} {self.kind}"


def request_photo_path(photo: RequestPhoto, filename: str) -> str:
    """Return a random stored name; nothing of the sender's file name survives."""
    return f"requests/{secrets.token_hex(16)}.jpg"


class RequestPhoto(models.Model):
    """A photo of the vehicle asked for; only the clean copy is ever stored."""

    request = models.ForeignKey(VehicleRequest, models.CASCADE, related_name="photos")
    token = models.CharField(max_length=40, unique=True, default=new_token)
    label = models.CharField(max_length=100, blank=True)
    image = models.FileField(upload_to=request_photo_path)
    thumbnail = models.FileField(upload_to=request_photo_path)
    size_bytes = models.PositiveBigIntegerField(default=0)
    source_sha256 = models.CharField(max_length=64, help_text="by which the same photo sent twice is known")
    made_at = models.DateTimeField(default=timezone.now)

    objects: models.Manager[RequestPhoto]

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["request", "source_sha256"], name="one_photo_a_request")
        ]

    def __str__(self) -> str:
        return self.label or f"photo {self.pk}"


class RequestMail(models.Model):
    """One mail about a request, written before it is sent; ``key`` names the occasion."""

    class State(models.TextChoices):
        WAITING = "waiting", _("on its way")
        SENT = "sent", _("sent")
        FAILED = "failed", _("not sent")

    request = models.ForeignKey(VehicleRequest, models.CASCADE, related_name="mails")
    key = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=20)
    language = models.CharField(max_length=10)
    to = models.EmailField()
    subject = models.CharField(max_length=150)
    text = models.TextField()
    html = models.TextField(blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    error = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    sent_at = models.DateTimeField(null=True, blank=True)

    objects: models.Manager[RequestMail]

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind} to {self.to}"
