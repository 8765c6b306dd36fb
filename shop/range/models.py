"""Price lists of suppliers: how each writes them, what one says, and what became of every row."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class PriceLayout(models.Model):
    """How a supplier writes price lists and how the workshop reckons from them; remembered once chosen."""

    supplier = models.CharField(max_length=60, unique=True)
    columns = models.JSONField(default=dict, help_text="our field to the heading of their column")
    currency = models.CharField(max_length=3, default="EUR")
    rate = models.DecimalField(max_digits=12, decimal_places=6, default=Decimal(1))
    tax_included_pct = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    groups = models.JSONField(default=dict, help_text="discount group to per cent off")
    markups = models.JSONField(default=list, help_text="rows of group, cost from, per cent on cost")
    step = models.CharField(max_length=5, default="0.01")
    ending = models.CharField(max_length=4, blank=True)
    adds_new = models.BooleanField(default=False)
    retires_gone = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.supplier


class PriceList(models.Model):
    """One list as it was handed in; nothing of it is live until someone confirms it."""

    class State(models.TextChoices):
        UPLOADED = "uploaded", _("columns to be matched")
        READING = "reading", _("being read")
        READY = "ready", _("to be confirmed")
        CONFIRMED = "confirmed", _("being put live")
        LIVE = "live", _("live")
        THROWN = "thrown", _("thrown away")
        FAILED = "failed", _("could not be read")

    supplier = models.CharField(max_length=60)
    name = models.CharField(max_length=200)
    data = models.BinaryField()
    state = models.CharField(max_length=9, choices=State.choices, default=State.UPLOADED)
    rows_total = models.PositiveIntegerField(default=0)
    rows_read = models.PositiveIntegerField(default=0)
    beat_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    problem = models.CharField(max_length=20, blank=True, help_text="id of why it could not be read")
    figure = models.CharField(max_length=80, blank=True)
    left = models.PositiveIntegerField(default=0, help_text="rows that were changed by others meanwhile")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    release = models.ForeignKey(
        "configurator.Release", models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.name


class PriceLine(models.Model):
    """One row of a list: which item it is, and what it would change."""

    class Verdict(models.TextChoices):
        CHANGED = "changed", _("changed")
        NEW = "new", _("new")
        GONE = "gone", _("no longer in the list")
        BAD = "bad", _("cannot be taken")
        SAME = "same", _("as it is")

    list = models.ForeignKey(PriceList, models.CASCADE, related_name="lines")
    number = models.PositiveIntegerField(help_text="as a spreadsheet counts")
    verdict = models.CharField(max_length=7, choices=Verdict.choices)
    ref = models.CharField(max_length=60, blank=True)
    code = models.CharField(max_length=60, blank=True)
    name = models.CharField(max_length=160, blank=True)
    unit = models.CharField(max_length=5, blank=True)
    pack = models.CharField(max_length=12, blank=True)
    cost_before = models.DecimalField(max_digits=10, decimal_places=4, null=True)
    cost_after = models.DecimalField(max_digits=10, decimal_places=4, null=True)
    price_before = models.DecimalField(max_digits=10, decimal_places=4, null=True)
    price_after = models.DecimalField(max_digits=10, decimal_places=4, null=True)
    why = models.CharField(max_length=30, blank=True, help_text="id of what is wrong")
    figure = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["list", "number", "pk"]
        indexes = [models.Index(fields=["list", "verdict"], name="lines_of_a_list")]

    def __str__(self) -> str:
        return f"{self.number}: {self.ref}"
