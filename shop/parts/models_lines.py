"""A job's parts list, line by line."""

from __future__ import annotations

from django.db import models

from configurator.builds.records import PieceFacts

from .quantities import NOTHING, quantity_field, sku_field


class JobPart(models.Model):
    """One line of a job's parts list: every fact of the agreed evaluation's line, frozen.

    A line that an amendment dropped stays with ``dropped`` set, so the history of what was ordered for
    whom is never lost.
    """

    job = models.ForeignKey("shop.Job", models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField()
    line_key = models.CharField(max_length=64, help_text="identifies the same line across revisions")
    item = models.CharField(max_length=60, help_text="item code")
    sku = sku_field()
    name = models.CharField(max_length=160)
    kind = models.CharField(max_length=20)
    quantity = quantity_field()
    issued = quantity_field(default=NOTHING, help_text="handed out to the bay, no longer in stock")
    unit = models.CharField(max_length=5)
    unit_price = models.DecimalField(max_digits=10, decimal_places=4)
    amount = models.DecimalField(max_digits=12, decimal_places=2)
    unit_cost_net = models.DecimalField(max_digits=10, decimal_places=4)
    at_cost_of = models.CharField(max_length=8)
    returnable = models.BooleanField(default=True)
    supplier = models.CharField(max_length=60, help_text="supplier code")
    supplier_name = models.CharField(max_length=120)
    supplier_ref = models.CharField(max_length=60, blank=True)
    pack_size = models.DecimalField(max_digits=9, decimal_places=3)
    lead_time_days = models.PositiveSmallIntegerField()
    for_choices = models.JSONField(default=list)
    for_names = models.JSONField(default=list)
    where = models.CharField(max_length=120)
    why = models.TextField(blank=True)
    facts = models.JSONField(default=dict)
    dropped = models.BooleanField(default=False, help_text="an amendment took the line off the list")

    class Meta:
        ordering = ["job", "position", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "line_key"], name="one_row_a_parts_line")]

    def __str__(self) -> str:
        return f"{self.name} × {self.quantity.normalize():f} {self.unit}"

    @property
    def piece(self) -> PieceFacts:
        """What identifies the piece, read from what was copied of the build."""
        return PieceFacts.model_validate(self.facts)
