"""What lies on the shelf, why it changed, and for whom it is kept."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from .models_lines import JobPart
from .quantities import NOTHING, quantity_field, sku_field


class StockLevel(models.Model):
    """How much of an item lies on the shelf; its row is what two buyers queue for."""

    sku = sku_field(unique=True)
    quantity = quantity_field(default=NOTHING)
    shelf = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["sku"]
        constraints = [
            models.CheckConstraint(condition=models.Q(quantity__gte=0), name="stock_is_never_negative")
        ]

    def __str__(self) -> str:
        return f"{self.sku}: {self.quantity}"


class StockMovement(models.Model):
    """Why a stock level changed; append-only, and its sum is the level."""

    class Reason(models.TextChoices):
        OPENING = "opening", "opening count"
        RECEIVED = "received", "received"
        ISSUED = "issued", "handed out to a job"
        RETURNED = "returned", "put back by a job"
        COUNTED = "counted", "counted"
        UNDONE = "undone", "a receipt undone"
        SENT_BACK = "sent back", "sent back to the supplier"

    sku = sku_field()
    quantity = models.DecimalField(max_digits=12, decimal_places=3, help_text="signed")
    reason = models.CharField(max_length=10, choices=Reason.choices)
    part = models.ForeignKey(JobPart, models.SET_NULL, null=True, blank=True, related_name="movements")
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.sku} {self.quantity:+}"


class Reservation(models.Model):
    """Stock on the shelf that is kept for one line of one job."""

    part = models.OneToOneField(JobPart, models.CASCADE, related_name="reservation")
    sku = sku_field()
    quantity = quantity_field()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.sku} for {self.part_id}"
