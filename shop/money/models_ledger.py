"""Where a job's money stands, kept for lists in whole cents, which every database adds up exactly."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.db import models

from .amounts import amount_of

NEVER = date(9999, 12, 31)


class Ledger(models.Model):
    """Where a job's money stands, kept for lists; written by ``ledger.refresh`` with every change."""

    job = models.OneToOneField("shop.Job", models.CASCADE, primary_key=True, related_name="ledger")
    currency = models.CharField(max_length=3)
    price_cents = models.BigIntegerField(default=0)
    asked_cents = models.BigIntegerField(default=0)
    held_cents = models.BigIntegerField(default=0)
    outstanding_cents = models.BigIntegerField(default=0)
    over_cents = models.BigIntegerField(default=0)
    to_pay_out_cents = models.BigIntegerField(default=0, help_text="decided refunds not paid out")
    is_asked = models.BooleanField(default=False, help_text="the customer has been asked to pay")
    is_open = models.BooleanField(default=False, help_text="someone should see it in the list of money")
    is_to_settle = models.BooleanField(default=False, help_text="the job is closed and its money is not")
    is_to_invoice = models.BooleanField(default=False, help_text="handed over, and no invoice stands")
    due_on = models.DateField(default=NEVER, help_text="for what is outstanding; far away when nothing is")
    late_from = models.DateField(default=NEVER, help_text="the first day on which it is overdue")

    class Meta:
        indexes = [
            # Of open ones alone: SQLite finds no row by an index that begins with a yes or no.
            models.Index(fields=["due_on", "job"], condition=models.Q(is_open=True), name="ledger_open_due"),
            models.Index(fields=["outstanding_cents", "due_on", "job"], name="ledger_by_outstanding"),
            models.Index(fields=["job"], condition=models.Q(is_to_settle=True), name="ledger_to_settle"),
            models.Index(fields=["job"], condition=models.Q(is_to_invoice=True), name="ledger_to_invoice"),
        ]

    def __str__(self) -> str:
        return f"ledger of job {self.job_id}"

    @property
    def price(self) -> Decimal:
        """The whole price, reductions taken off."""
        return amount_of(self.price_cents)

    @property
    def asked(self) -> Decimal:
        """What should be here by now."""
        return amount_of(self.asked_cents)

    @property
    def held(self) -> Decimal:
        """What the workshop holds."""
        return amount_of(self.held_cents)

    @property
    def outstanding(self) -> Decimal:
        """What is still to come."""
        return amount_of(self.outstanding_cents)

    @property
    def over(self) -> Decimal:
        """What came in beyond what is asked."""
        return amount_of(self.over_cents)

    @property
    def to_pay_out(self) -> Decimal:
        """What was decided to go back and has not gone yet."""
        return amount_of(self.to_pay_out_cents)
