"""A part of jobs replaced by another, or had from another supplier: what, why and by whom."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from .models_lines import JobPart
from .quantities import sku_field


class Replacement(models.Model):
    """What took the place of a part that is not coming; its lines keep to it through every later change."""

    parts = models.ManyToManyField(JobPart, related_name="replacements")
    instead_of = sku_field(help_text="the stock key that was wanted")
    item = models.CharField(max_length=60)
    sku = sku_field()
    name = models.CharField(max_length=160)
    supplier = models.CharField(max_length=60, help_text="supplier code")
    supplier_name = models.CharField(max_length=120)
    supplier_ref = models.CharField(max_length=60, blank=True)
    unit_cost_net = models.DecimalField(max_digits=10, decimal_places=4)
    pack_size = models.DecimalField(max_digits=9, decimal_places=3)
    lead_time_days = models.PositiveSmallIntegerField()
    returnable = models.BooleanField(default=True)
    why = models.CharField(max_length=200)
    press = models.CharField(max_length=40, unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.name} instead of {self.instead_of}"
