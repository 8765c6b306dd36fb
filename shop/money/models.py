"""Deposit requests, the ledger of payments and refunds, and the bank's statements.

Amounts are Decimal in the workshop's currency. Payments are append-only: a wrong one is undone by a
second row of the opposite amount, so the sum is right and the history is whole. Statements, invoices and
the ledger for lists have files of their own.
"""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from .amounts import money_field
from .models_invoices import BillingAddress, Invoice
from .models_ledger import Ledger
from .models_statements import CsvLayout, StatementDraft, StatementEntry, StatementFile
from .payee import Payee, payee
from .reasons import note_in_words

__all__ = [
    "BillingAddress",
    "CsvLayout",
    "DepositReminder",
    "DepositRequest",
    "Invoice",
    "Ledger",
    "Payment",
    "Reduction",
    "Refund",
    "Settlement",
    "StatementDraft",
    "StatementEntry",
    "StatementFile",
]


class DepositRequest(models.Model):
    """What a customer is asked to pay before parts are ordered.

    A job has one request in force at most; one that an amendment replaced is kept. All requests of a
    job carry the same reference, so a transfer for an older one still finds the job.
    """

    job = models.ForeignKey("shop.Job", models.CASCADE, related_name="deposit_requests")
    number = models.PositiveSmallIntegerField()
    amount = money_field()
    currency = models.CharField(max_length=3)
    why = models.CharField(max_length=200, blank=True, help_text="how the policy came to the amount")
    total = money_field(help_text="price of the whole job, tax included")
    reference = models.CharField(max_length=25, db_index=True, help_text="ISO 11649")
    payer_key = models.CharField(
        max_length=80, blank=True, db_index=True, help_text="by which names are found"
    )
    payee = models.JSONField(default=dict, help_text="name, IBAN and BIC as printed")
    due_on = models.DateField()
    made_at = models.DateTimeField(auto_now_add=True)
    superseded_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["job", "number"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="one_deposit_request_a_number"),
            models.UniqueConstraint(
                fields=["job"],
                condition=models.Q(superseded_at__isnull=True),
                name="one_deposit_request_in_force",
            ),
        ]
        indexes = [models.Index(fields=["amount", "due_on"], name="request_by_amount")]

    def __str__(self) -> str:
        return f"{self.reference} {self.amount} {self.currency}"

    @cached_property
    def pay_to(self) -> Payee:
        """The account to pay to now: the workshop may have changed its bank since it first asked."""
        now = payee()
        return now if now["iban"] else self.payee


class Payment(models.Model):
    """Money that came in for a job, or the undoing of such a row."""

    class Method(models.TextChoices):
        TRANSFER = "transfer", _("bank transfer")
        CARD = "card", _("card at the desk")
        CASH = "cash", _("cash")

    job = models.ForeignKey("shop.Job", models.PROTECT, related_name="payments")
    amount = money_field(help_text="negative when it undoes another")
    method = models.CharField(max_length=8, choices=Method.choices)
    received_on = models.DateField()
    entry = models.ForeignKey(StatementEntry, models.PROTECT, null=True, blank=True, related_name="payments")
    undoes = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="undone_by")
    press = models.CharField(max_length=40, unique=True, null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.amount} for job {self.job_id}"

    @property
    def said(self) -> str:
        """Its note for the reader."""
        return note_in_words(self.note)


class Refund(models.Model):
    """What goes back to the customer, how the policy came to it, and when it was paid."""

    job = models.ForeignKey("shop.Job", models.PROTECT, related_name="refunds")
    amount = money_field()
    kept = money_field(default=Decimal(0), help_text="what the workshop keeps")
    why = models.TextField(help_text="the policy applied, in words")
    press = models.CharField(max_length=40, unique=True)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    decided_at = models.DateTimeField(auto_now_add=True)
    paid_on = models.DateField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True, help_text="taken back before it was paid out")
    withdrawn_why = models.CharField(max_length=200, blank=True)
    entry = models.OneToOneField(StatementEntry, models.PROTECT, null=True, blank=True, related_name="refund")

    class Meta:
        ordering = ["decided_at", "pk"]

    def __str__(self) -> str:
        return f"{self.amount} back for job {self.job_id}"

    @property
    def withdrawn_said(self) -> str:
        """Why it was withdrawn, for the reader."""
        return note_in_words(self.withdrawn_why)


class Reduction(models.Model):
    """What is taken off the price of a job: a discount, or goodwill after something went wrong."""

    job = models.ForeignKey("shop.Job", models.PROTECT, related_name="reductions")
    amount = money_field(help_text="tax included, above nothing")
    why = models.CharField(max_length=200, help_text="as the customer reads it")
    press = models.CharField(max_length=40, unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.amount} off for job {self.job_id}"


class Settlement(models.Model):
    """What the customer owes for a job that was called off; the newest stands."""

    job = models.ForeignKey("shop.Job", models.PROTECT, related_name="settlements")
    owed = money_field(help_text="tax included")
    lines = models.JSONField(default=list, help_text="what for: a label or an id with figures, and amount")
    why = models.TextField(blank=True, help_text="as a person typed it")
    said = models.JSONField(default=dict, blank=True, help_text="why by the policy: an id with figures")
    press = models.CharField(max_length=40, unique=True, null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.owed} owed for job {self.job_id}"


class DepositReminder(models.Model):
    """One reminder of a deposit request; the key makes the daily run safe to repeat."""

    request = models.ForeignKey(DepositRequest, models.CASCADE, related_name="reminders")
    step = models.PositiveSmallIntegerField()
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["request", "step"]
        constraints = [models.UniqueConstraint(fields=["request", "step"], name="one_reminder_a_step")]

    def __str__(self) -> str:
        return f"reminder {self.step} of {self.request}"
