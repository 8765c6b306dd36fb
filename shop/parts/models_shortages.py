"""What is short, kept for the buyer's page, which then reads no more than it shows.

Nothing here is a truth of its own: ``shortages.refresh`` works the rows out by ``ordering.needs_of``, and an
order is placed by what that says at that moment.
"""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.utils import timezone

from .models_lines import JobPart
from .quantities import NOTHING, quantity_field, sku_field


class Shortage(models.Model):
    """One item that is to be ordered: how much, for whom, by when and from which supplier."""

    sku = sku_field(primary_key=True)
    part = models.ForeignKey(JobPart, models.CASCADE, related_name="+", help_text="its newest line")
    supplier = models.CharField(max_length=60)
    wanted = quantity_field()
    free = quantity_field()
    on_order = quantity_field()
    quantity = quantity_field(help_text="to order, in whole packs")
    cost_cents = models.BigIntegerField()
    need_by = models.DateField(null=True, blank=True)
    order_by = models.DateField(null=True, blank=True)
    jobs = models.PositiveIntegerField(help_text="how many lack it")
    first_jobs = models.JSONField(default=list, help_text="number and quantity of those served first")

    class Meta:
        ordering = ["sku"]
        indexes = [models.Index(fields=["supplier", "order_by", "sku"], name="shortage_by_supplier")]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.sku}"

    @property
    def cost_net(self) -> Decimal:
        """What it will cost, without tax."""
        return Decimal(self.cost_cents) / 100

    @property
    def late(self) -> bool:
        """Whether it should have been ordered already."""
        return self.order_by is not None and self.order_by < timezone.localdate()

    @property
    def spare(self) -> Decimal:
        """What is left over because the supplier sells whole packs."""
        return self.quantity - (self.wanted - self.free - self.on_order)

    @property
    def by_job(self) -> list[tuple[str, Decimal]]:
        """The first jobs that lack it, with how much each."""
        return [(number, Decimal(quantity)) for number, quantity in self.first_jobs]

    @property
    def more_jobs(self) -> int:
        """How many jobs lack it beyond those."""
        return self.jobs - len(self.first_jobs)


class Lack(models.Model):
    """A line of a job that is not complete on the shelf, and how much of it nobody has ordered."""

    part = models.OneToOneField(JobPart, models.CASCADE, primary_key=True, related_name="lack")
    job = models.ForeignKey("shop.Job", models.CASCADE, related_name="lacks")
    sku = sku_field()
    missing = quantity_field(default=NOTHING)

    class Meta:
        ordering = ["part"]

    def __str__(self) -> str:
        return f"line {self.part_id}"


class WaitingJob(models.Model):
    """A job whose parts are not all here: since when, and how many of its lines are."""

    job = models.OneToOneField("shop.Job", models.CASCADE, primary_key=True, related_name="waits_for_parts")
    since = models.DateTimeField()
    lines = models.PositiveIntegerField()
    complete = models.PositiveIntegerField()

    class Meta:
        ordering = ["since", "job"]
        indexes = [models.Index(fields=["since", "job"], name="job_waiting_for_parts")]

    def __str__(self) -> str:
        return f"job {self.job_id}"


class ShortageMark(models.Model):
    """Something that changed since the rows were worked out: an item, a job's items, or (neither) anything.

    Marks are only added in the transaction of the change, so nobody ever waits for another's.
    """

    sku = sku_field(blank=True, db_index=False)
    job = models.ForeignKey("shop.Job", models.CASCADE, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.sku or f"job {self.job_id}"


class ShortageRun(models.Model):
    """The one row that whoever works them out holds, with the plan whose days were used."""

    plan = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"plan {self.plan}"
