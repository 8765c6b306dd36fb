"""Customers as records: who they are, how they are reached, what they drive, and whose jobs are whose."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class Customer(models.Model):
    """One customer. A record that was joined to another stays, and says to which."""

    name = models.CharField(max_length=120)
    sort_name = models.CharField(max_length=80)
    note = models.TextField(blank=True, help_text="for staff alone")
    merged_into = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="merged_from"
    )
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["sort_name", "pk"]
        indexes = [models.Index(fields=["sort_name", "id"], name="customer_by_name")]

    def __str__(self) -> str:
        return self.name


class Fact(models.Model):
    """How a customer is reached or what they drive; ``key`` is what two records are compared by."""

    class Kind(models.TextChoices):
        MAIL = "mail", _("mail")
        PHONE = "phone", _("telephone")
        ADDRESS = "address", _("address")
        VIN = "vin", _("VIN")
        PLATE = "plate", _("registration")

    customer = models.ForeignKey(Customer, models.CASCADE, related_name="facts")
    kind = models.CharField(max_length=7, choices=Kind.choices)
    value = models.CharField(max_length=300)
    key = models.CharField(max_length=300)
    shared = models.BooleanField(default=False, db_default=False, help_text="another record has had the same")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["customer", "kind", "key"], name="one_row_a_fact_of_a_customer")
        ]
        indexes = [
            models.Index(fields=["kind", "key"], name="customer_fact_by_key"),
            models.Index(
                fields=["kind", "key"], condition=models.Q(shared=True), name="customer_fact_shared"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.value}"


class CustomerJob(models.Model):
    """Whose job it is."""

    job = models.OneToOneField("shop.Job", models.CASCADE, primary_key=True, related_name="of_customer")
    customer = models.ForeignKey(Customer, models.PROTECT, related_name="jobs")

    class Meta:
        ordering = ["-job_id"]

    def __str__(self) -> str:
        return f"job {self.job_id} of {self.customer_id}"


class Merge(models.Model):
    """Two records said to be one by a person; what moved is kept, so that it can be undone."""

    kept = models.ForeignKey(Customer, models.CASCADE, related_name="merges")
    gone = models.ForeignKey(Customer, models.CASCADE, related_name="+")
    jobs = models.JSONField(default=list, help_text="keys of the jobs that moved")
    facts = models.JSONField(default=list, help_text="keys of the facts that moved")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["gone"], condition=models.Q(undone_at=None), name="a_customer_is_joined_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.gone_id} into {self.kept_id}"


class NotSame(models.Model):
    """Two records that a person said are two people, however much they share."""

    first = models.ForeignKey(Customer, models.CASCADE, related_name="+", help_text="the lower key")
    second = models.ForeignKey(Customer, models.CASCADE, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["first", "second"], name="said_once_to_be_two")]

    def __str__(self) -> str:
        return f"{self.first_id} is not {self.second_id}"
