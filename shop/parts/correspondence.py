"""Mails that carry an order to its supplier, and what the supplier was heard to say."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.jobs.press import new_key

from .models import PurchaseLine, PurchaseOrder


class OrderMail(models.Model):
    """One sending of an order by mail; ``press`` makes asking for it twice one mail."""

    class State(models.TextChoices):
        WAITING = "waiting", _("on its way")
        SENT = "sent", _("sent")
        FAILED = "failed", _("not sent")

    order = models.ForeignKey(PurchaseOrder, models.CASCADE, related_name="mails")
    press = models.CharField(max_length=40, unique=True, default=new_key)
    to = models.EmailField()
    language = models.CharField(max_length=10)
    subject = models.CharField(max_length=200, blank=True)
    body = models.TextField(blank=True, help_text="as it was looked at when sending was asked for")
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    error = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    asked_at = models.DateTimeField(auto_now_add=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.order} to {self.to}: {self.state}"


class OrderAnswer(models.Model):
    """What a supplier said of an order or of one line, typed in by a person; never changed."""

    class Said(models.TextChoices):
        READ = "read", _("has read it")
        REPLIED = "replied", _("replied")
        CONFIRMED = "confirmed", _("confirms it")
        LATER = "later", _("delivers later")
        NOT_COMING = "not coming", _("does not deliver")

    order = models.ForeignKey(PurchaseOrder, models.CASCADE, related_name="answers")
    line = models.ForeignKey(
        PurchaseLine,
        models.CASCADE,
        null=True,
        blank=True,
        related_name="answers",
        help_text="none: all of it",
    )
    press = models.CharField(max_length=40, unique=True, default=new_key)
    said = models.CharField(max_length=10, choices=Said.choices)
    day = models.DateField(null=True, blank=True, help_text="when it is to come")
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.order}: {self.said}"
