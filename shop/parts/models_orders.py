"""Purchase orders and what came in on them."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from configurator.builds.money import rounded
from configurator.builds.records import PieceFacts
from shop.jobs.press import new_key

from .models_lines import JobPart
from .quantities import NOTHING, quantity_field, sku_field

SUPPLIER_SAYS_SO = "the supplier says so"
"""Kept where a supplier gave no reason; worded for the reader."""


class PurchaseOrder(models.Model):
    """An order to one supplier, addressed as it was when placed."""

    class State(models.TextChoices):
        PLACED = "placed", _("placed")
        PART_RECEIVED = "part received", _("part received")
        CLOSED = "closed", _("closed")

    number = models.CharField(max_length=20, unique=True)
    press = models.CharField(max_length=40, unique=True, default=new_key)
    supplier = models.CharField(max_length=60, db_index=True, help_text="supplier code")
    supplier_name = models.CharField(max_length=120)
    supplier_address = models.JSONField(default=dict)
    customer_number = models.CharField(max_length=40, blank=True)
    currency = models.CharField(max_length=3)
    total_net = models.DecimalField(max_digits=12, decimal_places=2, default=NOTHING)
    tax_rate_pct = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True, help_text="none: not told, other country"
    )
    deliver_to = models.JSONField(default=dict, blank=True, help_text="name, street, postcode, town, country")
    state = models.CharField(max_length=14, choices=State.choices, default=State.PLACED, db_index=True)
    note = models.CharField(max_length=500, blank=True, help_text="printed on the order")
    placed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    placed_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.number

    @property
    def tax(self) -> Decimal | None:
        """The tax that is expected on it, or None where it is not for us to tell."""
        return None if self.tax_rate_pct is None else rounded(self.total_net * self.tax_rate_pct / 100)

    @property
    def total_gross(self) -> Decimal:
        """What is expected to be paid."""
        return self.total_net + (self.tax or NOTHING)


class PurchaseLine(models.Model):
    """One item on an order, in whole packs."""

    order = models.ForeignKey(PurchaseOrder, models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    item = models.CharField(max_length=60)
    sku = sku_field()
    name = models.CharField(max_length=160)
    supplier_ref = models.CharField(max_length=60, blank=True)
    facts = models.JSONField(default=dict)
    unit = models.CharField(max_length=5)
    pack_size = models.DecimalField(max_digits=9, decimal_places=3)
    quantity = quantity_field()
    received = quantity_field(default=NOTHING)
    unit_cost_net = models.DecimalField(max_digits=10, decimal_places=4)
    amount_net = models.DecimalField(max_digits=12, decimal_places=2)
    need_by = models.DateField(null=True, blank=True)
    expected_on = models.DateField(null=True, blank=True, help_text="the day the supplier told")
    given_up = quantity_field(default=NOTHING, help_text="came damaged or wrong and is credited instead")
    not_coming = models.CharField(max_length=200, blank=True, help_text="why the rest is not expected")

    class Meta:
        ordering = ["order", "position"]
        constraints = [
            models.UniqueConstraint(fields=["order", "position"], name="one_line_a_position"),
            models.UniqueConstraint(fields=["order", "sku"], name="one_line_an_item"),
            models.CheckConstraint(
                condition=models.Q(received__lte=models.F("quantity") - models.F("given_up")),
                name="never_more_received_than_ordered",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order} line {self.position}"

    @property
    def piece(self) -> PieceFacts:
        """What identifies the piece, read from what was copied of the build."""
        return PieceFacts.model_validate(self.facts)

    @property
    def not_coming_said(self) -> str:
        """Why the rest is not expected, for the reader."""
        said = self.not_coming == SUPPLIER_SAYS_SO
        return str(_("the supplier says so")) if said else self.not_coming

    @property
    def open(self) -> Decimal:
        """What is still expected."""
        return NOTHING if self.not_coming else self.quantity - self.received - self.given_up

    @property
    def binding(self) -> Decimal:
        """How much of it must be paid: of a line that ended, what came."""
        return self.received if self.not_coming else self.quantity - self.given_up


class OrderedFor(models.Model):
    """Which job's line asked for how much of an order line."""

    line = models.ForeignKey(PurchaseLine, models.CASCADE, related_name="ordered_for")
    part = models.ForeignKey(JobPart, models.CASCADE, related_name="orders")
    quantity = quantity_field()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["line", "part"], name="one_row_a_line_and_part")]

    def __str__(self) -> str:
        return f"{self.line} for {self.part}"


class Receipt(models.Model):
    """Goods that came in on one order at one time; ``press`` makes booking it twice one receipt.

    One that is undone stays, with who took it back and why: what it brought is off the shelf again.
    """

    order = models.ForeignKey(PurchaseOrder, models.CASCADE, related_name="receipts")
    press = models.CharField(max_length=40, unique=True, default=new_key)
    delivery_note = models.CharField(max_length=60, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    undone_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"receipt {self.pk} on {self.order}"


class ReceiptLine(models.Model):
    """How much of one order line a receipt brought."""

    receipt = models.ForeignKey(Receipt, models.CASCADE, related_name="lines")
    line = models.ForeignKey(PurchaseLine, models.CASCADE, related_name="receipt_lines")
    quantity = quantity_field()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["receipt", "line"], name="one_row_a_receipt_and_line")]

    def __str__(self) -> str:
        return f"{self.quantity} on {self.line}"
