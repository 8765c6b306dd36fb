"""Vehicles: makers, generations and their axles."""

from __future__ import annotations

from django.db import models

from .models_fields import code_field
from .models_paint import Finish


class Maker(models.Model):
    """Who builds the vehicle."""

    code = code_field()
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Generation(models.Model):
    """One vehicle generation as the workshop fits parts to it."""

    class BodyStyle(models.TextChoices):
        VAN = "van", "van"
        PICKUP = "pickup", "pickup"
        CAR = "car", "car"
        MOTORCYCLE = "motorcycle", "motorcycle"

    code = code_field()
    maker = models.ForeignKey(Maker, models.PROTECT, related_name="generations")
    name = models.CharField(max_length=80)
    body_style = models.CharField(max_length=12, choices=BodyStyle.choices)
    rear_doors = models.CharField(max_length=12, blank=True, help_text="twin, tailgate, drop gate or nothing")
    year_from = models.PositiveSmallIntegerField()
    year_to = models.PositiveSmallIntegerField(null=True, blank=True)
    max_speed_kmh = models.PositiveSmallIntegerField()
    speedometer_reads_high_pct = models.FloatField(
        null=True, blank=True, help_text="how far the original reads high, if measured"
    )
    takes_spacers = models.BooleanField(default=True)
    drive = models.CharField(
        max_length=5, blank=True, help_text="which axles are driven: front, rear or four"
    )
    axle_ratio_limit_pct = models.FloatField(
        null=True,
        blank=True,
        help_text="how far the axles may part from their original pairing; little on four-wheel drive",
    )
    category = models.CharField(max_length=3, blank=True, help_text="UN vehicle category: M1, N1, L3")
    facts = models.JSONField(default=list, help_text="what its vehicles usually have")
    body_finishes = models.ManyToManyField(Finish, related_name="generations")
    body = models.JSONField(default=dict, blank=True, help_text="shapes of the drawing, mm")

    class Meta:
        ordering = ["maker__name", "name"]

    def __str__(self) -> str:
        return f"{self.maker.name} {self.name}"


class Axle(models.Model):
    """An axle as fitment sees it; field names are those of the check_fit contract."""

    class Position(models.TextChoices):
        FRONT = "front", "front"
        REAR = "rear", "rear"

    generation = models.ForeignKey(Generation, models.CASCADE, related_name="axles")
    position = models.CharField(max_length=5, choices=Position.choices)
    wheels = models.PositiveSmallIntegerField(default=2, help_text="1 on a motorcycle")
    mounting = models.CharField(
        max_length=12, default="bolted", help_text="bolted to a hub, or centre_axle as on a motorcycle"
    )
    bolt_count = models.PositiveSmallIntegerField(null=True, blank=True)
    bolt_circle_mm = models.FloatField(null=True, blank=True)
    spigot_diameter_mm = models.FloatField(null=True, blank=True)
    spigot_height_mm = models.FloatField(null=True, blank=True)
    fastener = models.CharField(max_length=4, default="bolt")
    thread = models.CharField(max_length=12, blank=True)
    property_class = models.CharField(max_length=6, blank=True)
    seat = models.CharField(max_length=12, blank=True)
    original_shank_mm = models.FloatField(null=True, blank=True)
    original_seat_thickness_mm = models.FloatField(null=True, blank=True)
    hub_thread_mm = models.FloatField(null=True, blank=True)
    free_depth_behind_hub_mm = models.FloatField(null=True, blank=True)
    stud_length_mm = models.FloatField(
        null=True, blank=True, help_text="what a stud shows in front of the hub; hubs with nuts"
    )
    axle_load_kg = models.FloatField(null=True, blank=True)
    original_track_mm = models.FloatField(null=True, blank=True)
    original_wheel_width_in = models.FloatField()
    original_wheel_diameter_in = models.FloatField()
    original_wheel_offset_mm = models.FloatField()
    original_tyre = models.CharField(max_length=40)
    arch_lip_mm = models.FloatField(null=True, blank=True)
    strut_face_mm = models.FloatField(null=True, blank=True)
    arch_diameter_mm = models.FloatField(null=True, blank=True)
    brake_envelope_mm = models.JSONField(null=True, blank=True, help_text="[radius, y] pairs")
    torque_nm = models.FloatField(null=True, blank=True)
    track_change_limit_pct = models.FloatField(
        null=True, blank=True, help_text="as the vehicle maker or the local code allows; empty: the usual"
    )
    lock_free_mm = models.FloatField(
        null=True, blank=True, help_text="least free space around the original wheel at full lock and bump"
    )
    guard_rear_edge_mm = models.FloatField(
        null=True, blank=True, help_text="how high above the wheel's axis the arch ends behind"
    )
    tolerance_mm = models.FloatField(default=2.0)

    class Meta:
        ordering = ["generation", "position"]
        unique_together = [("generation", "position")]

    def __str__(self) -> str:
        return f"{self.generation} {self.position}"
