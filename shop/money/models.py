"""Deposit requests, the ledger of payments and refunds, and the bank's statements.

Amounts are Decimal in the workshop's currency. Payments are append-only: a wrong one is undone by a
second row of the opposite amount, so the sum is right and the history is whole. ``Ledger`` keeps the
answer of ``account`` for lists, in whole cents, which every database adds up exactly.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .reasons import in_words


def money_field(**options: Any) -> models.DecimalField:
    """Return an amount of money to the cent."""
    return models.DecimalField(max_digits=12, decimal_places=2, **options)


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


class CsvLayout(models.Model):
    """How one bank writes its CSV, named by a person once and found again by the file's heading."""

    class DayOrder(models.TextChoices):
        DAY_FIRST = "dmy", _("day first: 31/03/2026")
        MONTH_FIRST = "mdy", _("month first: 03/31/2026")

    name = models.CharField(max_length=30, unique=True)
    heading = models.CharField(max_length=64, unique=True, help_text="digest of the headings in order")
    columns = models.JSONField(default=dict, help_text="headings in plain words by field")
    day_order = models.CharField(max_length=3, choices=DayOrder.choices, blank=True)
    decimal_mark = models.CharField(max_length=1, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class StatementDraft(models.Model):
    """A file that was handed in and not yet taken into the books: it waits for a person's yes."""

    name = models.CharField(max_length=200)
    data = models.BinaryField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return self.name


class StatementFile(models.Model):
    """One bank statement that was read; the digest makes reading it twice one import."""

    digest = models.CharField(max_length=64, unique=True, help_text="SHA-256 of the file")
    name = models.CharField(max_length=200)
    format = models.CharField(max_length=40)
    account = models.CharField(max_length=34, blank=True)
    seen_before = models.PositiveIntegerField(default=0, help_text="entries that an earlier file held")
    pending = models.PositiveIntegerField(default=0, help_text="entries that the bank had not booked")
    left_out = models.JSONField(default=list, help_text="other accounts in the file and rows that are none")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return self.name


class StatementEntry(models.Model):
    """One movement on the bank account as the bank told it."""

    class State(models.TextChoices):
        OPEN = "open", _("not matched")
        MATCHED = "matched", _("matched")
        SET_ASIDE = "set aside", _("not a deposit")
        DOUBT = "doubt", _("perhaps known already")
        KNOWN = "known", _("known already")

    WAITING = (State.OPEN, State.DOUBT)
    """The states in which a person has something to say."""

    file = models.ForeignKey(StatementFile, models.CASCADE, related_name="entries")
    key = models.CharField(max_length=64, unique=True, help_text="digest of all that the bank told")
    account = models.CharField(max_length=34, blank=True)
    booked_on = models.DateField(db_index=True)
    amount = money_field(help_text="positive came in, negative went out")
    currency = models.CharField(max_length=3)
    other_name = models.CharField(max_length=140, blank=True)
    other_iban = models.CharField(max_length=34, blank=True)
    reference = models.CharField(max_length=35, blank=True, help_text="structured reference")
    documents = models.CharField(max_length=200, blank=True, help_text="numbers of documents the payer named")
    text = models.TextField(blank=True)
    bank_reference = models.CharField(max_length=80, blank=True)
    is_reversal = models.BooleanField(default=False)
    like = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="+", help_text="the one it may be"
    )
    state = models.CharField(max_length=9, choices=State.choices, default=State.OPEN, db_index=True)
    waits_from = models.DateField(
        null=True,
        blank=True,
        help_text="the booking day while it waits for a person: the list's order and index",
    )
    match_on = models.DateField(
        null=True, blank=True, db_index=True, help_text="the day to try matching again"
    )
    reason = models.CharField(max_length=24, blank=True, help_text="how it was matched, or why not")
    values = models.JSONField(default=dict, blank=True, help_text="what the reason's sentence names")
    note = models.CharField(max_length=200, blank=True, help_text="typed by a person")

    class Meta:
        ordering = ["-booked_on", "-pk"]
        verbose_name_plural = "statement entries"
        indexes = [models.Index(fields=["waits_from", "id"], name="entry_waiting")]

    def __str__(self) -> str:
        return f"{self.booked_on} {self.amount} {self.currency} {self.other_name}"

    def save(self, *args: Any, update_fields: Iterable[str] | None = None, **kwargs: Any) -> None:
        """Keep the waiting list's index in step with the state."""
        self.waits_from = self.booked_on if self.state in self.WAITING else None
        if update_fields is not None:
            update_fields = {*update_fields, "waits_from"}
        super().save(*args, update_fields=update_fields, **kwargs)

    @property
    def said(self) -> str:
        """How it was matched or why not, in the reader's language; a person's own words come first."""
        return self.note or in_words(self.reason, self.values)


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
    lines = models.JSONField(default=list, help_text="what for: label and amount")
    why = models.TextField(blank=True)
    press = models.CharField(max_length=40, unique=True, null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.owed} owed for job {self.job_id}"


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
            models.Index(fields=["is_open", "due_on", "job"], name="ledger_open_by_day"),
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


def cents(amount: Decimal) -> int:
    """Return an amount in whole cents, exactly."""
    return int(amount.scaleb(2))


def amount_of(whole_cents: int | None) -> Decimal:
    """Return an amount from whole cents."""
    return Decimal(whole_cents or 0).scaleb(-2)


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
