"""What went otherwise with goods of an order: too many, damaged, wrong, sent back, and the credit for it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .models_orders import PurchaseLine, Receipt
from .quantities import quantity_field


class GoodsNote(models.Model):
    """One quantity of one order line that did not go the straight way; append-only but for its credit.

    ``credit_due_net`` is what the supplier is expected to credit (none: nothing is), the fields behind it
    what the supplier's credit note said.
    """

    class What(models.TextChoices):
        KEPT = "kept", _("more came than ordered, kept for stock")
        SURPLUS_BACK = "surplus back", _("more came than ordered, sent back")
        DAMAGED = "damaged", _("came damaged, not booked in")
        WRONG = "wrong", _("something else came, not booked in")
        RETURNED = "returned", _("sent back from the shelf")

    line = models.ForeignKey(PurchaseLine, models.CASCADE, related_name="goods_notes")
    receipt = models.ForeignKey(Receipt, models.CASCADE, null=True, blank=True, related_name="goods_notes")
    press = models.CharField(max_length=40)
    what = models.CharField(max_length=12, choices=What.choices)
    quantity = quantity_field()
    comes_again = models.BooleanField(default=False, help_text="the supplier sends it once more")
    note = models.CharField(max_length=200, blank=True)
    credit_due_net = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    credit_net = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    credit_number = models.CharField(max_length=60, blank=True, help_text="of the supplier's credit note")
    credited_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["press", "line", "what"], name="one_goods_note_a_pressing")
        ]

    def __str__(self) -> str:
        return f"{self.line}: {self.quantity} {self.what}"

    @property
    def awaits_credit(self) -> bool:
        """Whether the supplier still owes a credit note for it."""
        return self.credit_due_net is not None and self.credited_at is None
