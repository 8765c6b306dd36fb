"""Mail as rows, written before anything is sent; the conversation of a job; reminders that fell due."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone

LINK_MARK = "[private-link]"
"""Stands in a stored mail where the token of the customer's link goes, so that no key lies in the table."""


class OutgoingMail(models.Model):
    """One mail. ``key`` names the occasion, written once each; a promise of the outbox sends it."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        SENT = "sent", "sent"
        FAILED = "failed", "given up"

    key = models.CharField(max_length=120, unique=True)
    job = models.ForeignKey("shop.Job", models.PROTECT, related_name="mails")
    kind = models.CharField(max_length=40)
    language = models.CharField(max_length=10)
    to = models.EmailField()
    subject = models.CharField(max_length=150)
    text = models.TextField()
    html = models.TextField(blank=True)
    revision = models.ForeignKey(
        "configurator.SpecRevision",
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        help_text="whose picture of the vehicle travels with it",
    )
    state = models.CharField(max_length=7, choices=State.choices, default=State.WAITING, db_index=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    error = models.TextField(blank=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind} to {self.to}"


class Message(models.Model):
    """One thing that customer or workshop said about a job."""

    job = models.ForeignKey("shop.Job", models.CASCADE, related_name="messages")
    from_customer = models.BooleanField()
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    text = models.TextField()
    at = models.DateTimeField(default=timezone.now)
    read_at = models.DateTimeField(null=True, blank=True, help_text="when the other side first saw it")
    press: models.CharField[Any, Any] = models.CharField(
        max_length=40, unique=True, help_text="of the form; a second press writes nothing"
    )

    class Meta:
        ordering = ["pk"]
        indexes = [
            models.Index(
                fields=["job"],
                name="message_unread_by_staff",
                condition=models.Q(from_customer=True, read_at=None),
            )
        ]

    def __str__(self) -> str:
        return f"{'customer' if self.from_customer else 'workshop'}: {self.text[:40]}"


class Reminder(models.Model):
    """One reminder for one due date; the constraint makes the daily run safe to repeat."""

    job = models.ForeignKey("shop.Job", models.CASCADE, related_name="reminders")
    kind = models.CharField(max_length=40)
    due_on = models.DateField()
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "kind", "due_on"], name="one_reminder_a_due_date")
        ]

    def __str__(self) -> str:
        return f"{self.kind} for {self.due_on}"
