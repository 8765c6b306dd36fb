"""Typed parts: wheels, tyres, spacers, fasteners and rings, each an item with its measures."""

from __future__ import annotations

from django.db import models

from .models_items import Item
from .models_paint import Finish


class Part(models.Model):
    """What every typed part shares: the item it is bought as, whose code it answers to."""

    item = models.OneToOneField(Item, models.CASCADE, primary_key=True, related_name="%(class)s")

    class Meta:
        abstract = True
        ordering = ["item__code"]

    def __str__(self) -> str:
        return self.item.name

    @property
    def code(self) -> str:
        """The item's code."""
        return self.item.code


class Wheel(Part):
    """A rim, as the maker's drawing gives it."""

    maker = models.CharField(max_length=80)
    design = models.CharField(max_length=40, help_text="which of our drawn designs shows it")
    finish = models.ForeignKey(Finish, models.PROTECT, related_name="wheels")
    vehicle_class = models.CharField(max_length=12, default="car", help_text="car or motorcycle")
    width_in = models.FloatField()
    diameter_in = models.FloatField()
    offset_mm = models.FloatField(null=True, blank=True)
    bolt_count = models.PositiveSmallIntegerField(null=True, blank=True, help_text="empty: centre axle")
    bolt_circle_mm = models.FloatField(null=True, blank=True)
    bore_mm = models.FloatField(null=True, blank=True)
    seat = models.CharField(max_length=12, blank=True)
    seat_thickness_mm = models.FloatField(null=True, blank=True)
    load_rating_kg = models.FloatField(null=True, blank=True)
    inside_profile_mm = models.JSONField(null=True, blank=True, help_text="[radius, y] pairs")
    fitted_inside_mm = models.FloatField(
        null=True,
        blank=True,
        help_text="what weights, valve or sensor take inside the barrel; empty: a doubt",
    )
    pocket_depth_mm = models.FloatField(default=0, help_text="pockets between the holes; for studs")


class Tyre(Part):
    """A tyre by its designation (UN R30 or R54 marking)."""

    maker = models.CharField(max_length=80)
    designation = models.CharField(max_length=40)
    vehicle_class = models.CharField(max_length=12, default="car")


class Spacer(Part):
    """One disc; sold and fitted in pairs."""

    thickness_mm = models.FloatField()
    kind = models.CharField(max_length=8, help_text="slip_on or bolt_on")
    bolt_count = models.PositiveSmallIntegerField()
    bolt_circle_mm = models.FloatField()
    wheel_bolt_circle_mm = models.FloatField(null=True, blank=True, help_text="when it changes the circle")
    bore_mm = models.FloatField(null=True, blank=True)
    spigot_height_mm = models.FloatField(null=True, blank=True, help_text="its own; 0: it has none")
    spigot_recess_mm = models.FloatField(default=0, help_text="room inside it for the hub's spigot")
    stud_length_mm = models.FloatField(null=True, blank=True, help_text="its own studs, for nuts")
    material = models.CharField(max_length=9, blank=True, help_text="aluminium or steel")
    steel_inserts = models.BooleanField(default=False, help_text="in its own threads, on a bolt-on one")


class Fastener(Part):
    """A wheel bolt or nut; a locking one goes on each wheel once."""

    kind = models.CharField(max_length=4, help_text="bolt or nut")
    locking = models.BooleanField(default=False)
    thread = models.CharField(max_length=12)
    shank_mm = models.FloatField(null=True, blank=True, help_text="empty for nuts")
    seat = models.CharField(max_length=12)
    property_class = models.CharField(max_length=6)
    finish = models.ForeignKey(Finish, models.PROTECT, related_name="fasteners")


class CentringRing(Part):
    """Fills the gap between a wider wheel bore and the hub's spigot."""

    outer_mm = models.FloatField()
    inner_mm = models.FloatField()
