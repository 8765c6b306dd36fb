"""What is bought, and from whom."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.db import models

from .models_fields import code_field, endpoint_field, retired_field


def spoken() -> list[tuple[str, str]]:
    """Return code and name of the languages that the site speaks."""
    return list(settings.LANGUAGES)


class Supplier(models.Model):
    """Where parts come from."""

    code = code_field()
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    street = models.CharField(max_length=120, blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    town = models.CharField(max_length=80, blank=True)
    country = models.CharField(max_length=2, default="DE")
    lead_time_days = models.PositiveSmallIntegerField(default=5)
    customer_number = models.CharField(max_length=40, blank=True)
    legal_name = models.CharField(max_length=120, blank=True, help_text="as registered; empty: the name")
    endpoint = endpoint_field()
    language = models.CharField(
        max_length=10,
        default="en-gb",
        choices=spoken,
        help_text="in which orders are written",
    )
    retired = retired_field()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Item(models.Model):
    """One thing that is bought, stocked, fitted or used up; wheels, tyres and the rest point here."""

    class Unit(models.TextChoices):
        EACH = "each", "each"
        METRE = "m", "metre"
        LITRE = "l", "litre"
        GRAM = "g", "gram"

    code = code_field()
    name = models.CharField(max_length=160)
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="items")
    supplier_ref = models.CharField(max_length=60, blank=True)
    unit = models.CharField(max_length=5, choices=Unit.choices, default=Unit.EACH)
    pack_size = models.DecimalField(
        max_digits=9, decimal_places=3, default=Decimal(1), help_text="Smallest quantity the supplier sells"
    )
    unit_cost = models.DecimalField(max_digits=10, decimal_places=4, help_text="per unit, without tax")
    unit_price = models.DecimalField(max_digits=10, decimal_places=4, help_text="per unit, tax included")
    lead_time_days = models.PositiveSmallIntegerField(null=True, blank=True, help_text="else the supplier's")
    returnable = models.BooleanField(default=True, help_text="the supplier takes it back unused")
    mass_kg = models.FloatField(null=True, blank=True)
    retired = retired_field()

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name
