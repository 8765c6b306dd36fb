"""The bank's statements as they were read, and how one bank writes its CSV."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from .amounts import money_field
from .reasons import in_words, left_out_in_words


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

    @property
    def left_out_words(self) -> list[str]:
        """What of the file was left out, in the reader's language."""
        return [left_out_in_words(one) for one in self.left_out]


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
