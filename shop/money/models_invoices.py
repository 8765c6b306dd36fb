"""Invoices and credit notes as issued, and where they go."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .amounts import money_field


class BillingAddress(models.Model):
    """Where the invoice of a job goes: the customer's postal address, as they or the workshop wrote it."""

    job = models.OneToOneField("shop.Job", models.CASCADE, primary_key=True, related_name="billing_address")
    name = models.CharField(max_length=120)
    extra = models.CharField(max_length=120, blank=True, help_text="company, department, care of")
    street = models.CharField(max_length=120)
    postcode = models.CharField(max_length=20)
    town = models.CharField(max_length=80)
    country = models.CharField(max_length=2, default="DE", help_text="ISO 3166-1 alpha-2")
    vat_id = models.CharField(max_length=20, blank=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        verbose_name_plural = "billing addresses"

    def __str__(self) -> str:
        return f"{self.name}, {self.street}, {self.postcode} {self.town}"


class Invoice(models.Model):
    """An invoice or credit note as it was issued; written once and never changed.

    ``gross`` is ``net + tax + rounding``; ``content`` holds seller, buyer and lines as they were on the day.
    """

    class Kind(models.TextChoices):
        INVOICE = "invoice", _("invoice")
        CREDIT_NOTE = "credit note", _("credit note")

    job = models.ForeignKey("shop.Job", models.PROTECT, related_name="invoices")
    kind = models.CharField(max_length=11, choices=Kind.choices)
    number = models.CharField(max_length=20, unique=True)
    corrects = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="credits")
    issued_on = models.DateField(db_index=True)
    supplied_on = models.DateField()
    currency = models.CharField(max_length=3)
    tax_rate_pct = models.DecimalField(max_digits=5, decimal_places=2)
    net = money_field()
    tax = money_field()
    rounding = money_field(help_text="the cent that net and tax cannot reach")
    gross = money_field(help_text="what is to be paid in all")
    prepaid = money_field(help_text="what was held on the day of issue")
    content = models.JSONField()
    press = models.CharField(max_length=40, unique=True, null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.number

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write it once."""
        if self.pk is not None:
            raise TypeError("an invoice is never changed: take it back by a credit note")
        super().save(*args, **kwargs)

    @property
    def due(self) -> Decimal:
        """What was still to be paid on the day of issue; below nothing when too much had come in."""
        return self.gross - self.prepaid

    @property
    def left(self) -> Decimal:
        """What credit notes have not taken back."""
        return self.gross - sum((note.gross for note in self.credits.all()), Decimal(0))
