"""The workshop that runs the site."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.db import models

from .models_fields import POSITIVE, endpoint_field


class Workshop(models.Model):
    """The one workshop that runs this site: its address, rates, tax, bank and deposit policy."""

    name = models.CharField(max_length=120)
    street = models.CharField(max_length=120)
    postcode = models.CharField(max_length=20)
    town = models.CharField(max_length=80)
    country = models.CharField(max_length=2, default="DE", help_text="ISO 3166-1 alpha-2")
    email = models.EmailField()
    phone = models.CharField(max_length=40)
    tax_number = models.CharField(max_length=40, blank=True)
    currency = models.CharField(max_length=3, default="EUR", help_text="ISO 4217")
    tax_rate_pct = models.DecimalField(max_digits=5, decimal_places=2, validators=[POSITIVE])
    tax_rate_from = models.DateField(
        null=True, blank=True, help_text="first day of that rate; empty: it has always been that"
    )
    tax_rate_before_pct = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True, help_text="until then", validators=[POSITIVE]
    )
    no_tax_why = models.CharField(
        max_length=200, blank=True, help_text="why no tax is charged, as invoices say it"
    )
    labour_rate_per_h = models.DecimalField(
        max_digits=8, decimal_places=2, help_text="per hour, tax included", validators=[POSITIVE]
    )
    deposit_pct = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(30))
    deposit_due_days = models.PositiveSmallIntegerField(default=7)
    iban = models.CharField(max_length=34)
    bic = models.CharField(max_length=11, blank=True)
    hours_per_day = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(8))
    terms = models.TextField(blank=True, help_text="Withdrawal and bespoke-goods notice shown before sending")
    terms_version = models.CharField(max_length=20, default="1")
    cancel_freely = models.BooleanField(
        default=False, help_text="the terms let customers call a job off without a reason until work begins"
    )
    answer_days = models.PositiveSmallIntegerField(
        default=0, help_text="working days within which a sent build is answered; 0: none is promised"
    )
    privacy = models.TextField(blank=True, help_text="What is done with people's data, shown beside consent")
    privacy_version = models.CharField(max_length=20, blank=True)
    local_codes = models.TextField(blank=True, help_text="Which local codes the workshop works to")
    legal_name = models.CharField(max_length=120, blank=True, help_text="as registered; empty: the name")
    endpoint = endpoint_field()
    delivery_street = models.CharField(
        max_length=120, blank=True, help_text="where goods are delivered; empty: the address above"
    )
    delivery_postcode = models.CharField(max_length=20, blank=True)
    delivery_town = models.CharField(max_length=80, blank=True)

    def __str__(self) -> str:
        return self.name

    def tax_rate_on(self, day: date) -> Decimal:
        """Return the tax rate, in per cent, of what is supplied on a day."""
        if self.tax_rate_from and self.tax_rate_before_pct is not None and day < self.tax_rate_from:
            return self.tax_rate_before_pct
        return self.tax_rate_pct
