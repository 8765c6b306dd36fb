"""How work is done: recipes, their operations in stages, and what is used up."""

from __future__ import annotations

from django.db import models

from .models_fields import code_field, retired_field
from .models_items import Item


class Recipe(models.Model):
    """How a thing is done: ordered operations and what is used up."""

    class Covers(models.TextChoices):
        OPTION = "option", "options that name it"
        JOB = "job", "every job, once"
        WHEELS = "wheels", "new wheels"
        TYRES = "tyres", "new tyres"
        SPACERS = "spacers", "spacers"
        RINGS = "rings", "centring rings"
        MIXED = "mixed", "an accent colour mixed to a wish, once"
        MATCHED = "matched", "a body colour that is none of ours, matched by its code, once"

    code = code_field()
    name = models.CharField(max_length=120)
    covers = models.CharField(max_length=10, choices=Covers.choices, default=Covers.OPTION)
    retired = retired_field()

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


STAGES = (
    "book-in",
    "test fit",
    "wheels off",
    "strip",
    "prep",
    "prime",
    "colour",
    "lacquer",
    "cure",
    "refit",
    "bond",
    "wheels on",
    "torque",
    "polish",
    "wash",
    "final check",
)


class Operation(models.Model):
    """One step of a recipe. Steps of several recipes with one share key are done once."""

    class Resource(models.TextChoices):
        BAY = "bay", "bay"
        LIFT = "lift", "lift"
        BOOTH = "booth", "booth"
        BENCH = "bench", "bench"

    recipe = models.ForeignKey(Recipe, models.CASCADE, related_name="operations")
    position = models.PositiveSmallIntegerField()
    stage = models.CharField(max_length=12, choices=[(s, s) for s in STAGES])
    name = models.CharField(max_length=160)
    hands_on_h = models.FloatField(default=0)
    wait_h = models.FloatField(default=0, help_text="drying, curing: no hands")
    resource = models.CharField(max_length=6, choices=Resource.choices, default=Resource.BAY)
    share_key = models.CharField(max_length=60, blank=True, help_text="done once for all that share it")
    paints = models.BooleanField(default=False, help_text="stands for the coats of the option's paint system")
    caution = models.TextField(blank=True)

    class Meta:
        ordering = ["recipe", "position"]
        unique_together = [("recipe", "position")]

    def __str__(self) -> str:
        return self.name


class Material(models.Model):
    """What a recipe uses up, and by what it is counted."""

    class Basis(models.TextChoices):
        JOB = "job", "once a job"
        CHOICE = "choice", "once a choice"
        LENGTH = "length", "by metre of the option's bonded length"
        AREA = "area", "by square metre of the option's painted area"
        WHEEL = "wheel", "for each wheel worked on"

    recipe = models.ForeignKey(Recipe, models.CASCADE, related_name="materials")
    item = models.ForeignKey(Item, models.PROTECT, related_name="+")
    basis = models.CharField(max_length=8, choices=Basis.choices)
    quantity = models.DecimalField(max_digits=10, decimal_places=4)
    note = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["recipe", "item"]

    def __str__(self) -> str:
        return f"{self.item} for {self.recipe}"
