"""What a customer chooses from, and what goes together."""

from __future__ import annotations

from django.db import models

from .models_fields import code_field, retired_field
from .models_items import Item
from .models_paint import PaintSystem
from .models_vehicles import Generation
from .models_work import Recipe


class Family(models.Model):
    """Options that answer one question."""

    class Kind(models.TextChoices):
        ONE = "one", "exactly one"
        ANY = "any", "any of them"
        AT_MOST = "at_most", "at most so many"

    code = code_field()
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    limit = models.PositiveSmallIntegerField(null=True, blank=True)
    section = models.CharField(max_length=20, help_text="vehicle, accent, panels, removals, care")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "code"]
        verbose_name_plural = "families"

    def __str__(self) -> str:
        return self.name


class Option(models.Model):
    """Something a customer can choose, or a fact of the vehicle that is already so.

    A fact is what a vehicle has already: a generation lists the usual ones, and the customer may state
    another of the same one-of family (the sport bumper), or one more (the tow bar).
    ``finish_choices`` lists what the fitted or painted part may be: ``body``, ``accent`` or finish
    codes; the first is the default; empty means that it is not painted.
    """

    class Kind(models.TextChoices):
        FACT = "fact", "fact of the vehicle"
        PANEL = "panel", "add-on panel"
        REMOVAL = "removal", "removal"
        ACCENT = "accent", "carries the accent colour"
        OTHER = "other", "other work"

    code = code_field()
    family = models.ForeignKey(Family, models.PROTECT, related_name="options")
    name = models.CharField(max_length=120)
    summary = models.CharField(max_length=240, blank=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    item = models.ForeignKey(Item, models.PROTECT, null=True, blank=True, related_name="options")
    item_quantity = models.PositiveSmallIntegerField(default=1)
    recipe = models.ForeignKey(Recipe, models.PROTECT, null=True, blank=True, related_name="options")
    generations = models.ManyToManyField(Generation, blank=True, help_text="empty: every generation")
    finish_choices = models.JSONField(default=list, blank=True)
    paint_system = models.ForeignKey(PaintSystem, models.PROTECT, null=True, blank=True)
    paint_area_m2 = models.FloatField(default=0)
    bond_length_m = models.FloatField(default=0)
    picture_part = models.CharField(max_length=40, blank=True, help_text="shape id that it changes")
    tags = models.JSONField(default=list, blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    retired = retired_field()

    class Meta:
        ordering = ["family__position", "position", "code"]

    def __str__(self) -> str:
        return self.name


class Rule(models.Model):
    """A condition with a reason that a customer can read.

    Literals are option codes, ``!code`` for not, or ``tag:word`` for "some option with that tag".
    Wheels, tyres and spacers take part as ``front-wheel:CODE``, ``rear-spacer:CODE`` and so on, with
    tags such as ``tag:wheel-black``. ``brings`` rows are ``{"item", "quantity", "basis"}``.
    """

    class Kind(models.TextChoices):
        NEEDS = "needs", "needs"
        EXCLUDES = "excludes", "excludes"
        BRINGS = "brings", "brings"

    code = code_field()
    kind = models.CharField(max_length=8, choices=Kind.choices)
    if_all = models.JSONField(default=list)
    then_any = models.JSONField(default=list, blank=True)
    brings = models.JSONField(default=list, blank=True)
    at_cost_of = models.CharField(max_length=8, default="customer", help_text="customer or workshop")
    reason = models.CharField(max_length=240)
    generations = models.ManyToManyField(Generation, blank=True)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code
