"""Paint: systems with their coats, and the finishes that parts can have."""

from __future__ import annotations

from django.db import models

from .models_fields import HEX, code_field, retired_field
from .models_items import Item


class PaintSystem(models.Model):
    """Coats that belong together on one kind of surface: plastic panel, bare chrome, hot caliper."""

    code = code_field()
    name = models.CharField(max_length=120)
    surface = models.CharField(max_length=200, help_text="what it is for, in the workshop's words")
    max_temperature_c = models.PositiveSmallIntegerField(null=True, blank=True)
    caution = models.TextField(blank=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class PaintLayer(models.Model):
    """One coat of a system with what the litres follow from."""

    class Stage(models.TextChoices):
        PRIME = "prime", "prime"
        COLOUR = "colour", "colour"
        LACQUER = "lacquer", "lacquer"

    class VocProduct(models.TextChoices):
        PREPARATORY = "preparatory", "preparatory product"
        PRE_CLEANER = "pre-cleaner", "pre-cleaner"
        WASH_PRIMER = "wash-primer", "wash primer"

    system = models.ForeignKey(PaintSystem, models.CASCADE, related_name="layers")
    position = models.PositiveSmallIntegerField()
    stage = models.CharField(max_length=10, choices=Stage.choices)
    item = models.ForeignKey(Item, models.PROTECT, related_name="paint_layers")
    tinted = models.BooleanField(default=False, help_text="mixed to the finish's colour")
    dry_film_um = models.FloatField()
    volume_solids_pct = models.FloatField()
    transfer_efficiency_pct = models.FloatField()
    hands_on_h = models.FloatField(help_text="per booth visit")
    hands_on_h_per_m2 = models.FloatField(default=0)
    wait_h = models.FloatField(help_text="flash-off or cure before the next step")
    voc_subcategory = models.CharField(max_length=1, help_text="Directive 2004/42/EC Annex II B")
    voc_g_per_l = models.FloatField(help_text="ready to use")
    voc_product = models.CharField(
        max_length=12,
        blank=True,
        choices=VocProduct.choices,
        help_text="a product with a limit of its own; empty: any other of the subcategory",
    )

    class Meta:
        ordering = ["system", "position"]
        unique_together = [("system", "position")]

    def __str__(self) -> str:
        return f"{self.system} {self.position} {self.stage}"


class Finish(models.Model):
    """A colour and sheen a part can have; body colours carry the vehicle maker's paint code."""

    class Role(models.TextChoices):
        STANDARD = "standard", "standard finish"
        ACCENT = "accent", "accent colour"
        HEAT = "heat", "heat-resistant"
        BODY = "body", "body colour"

    code = code_field()
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=10, choices=Role.choices)
    hex = models.CharField(max_length=7, validators=[HEX])
    sheen = models.CharField(max_length=10, default="gloss")
    paint_code = models.CharField(max_length=20, blank=True)
    same_colour_as = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="heat_versions", help_text="heat finishes"
    )
    retired = retired_field()

    class Meta:
        ordering = ["role", "name"]
        verbose_name_plural = "finishes"

    def __str__(self) -> str:
        return self.name
