"""What is measured at an axle: in the order of the card, with letter, place, way and usual tolerance.

The tolerances are what a careful person reaches with the tool named; common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


class Kind(StrEnum):
    """How a value is read: one length, the least of several, pairs, a count, or a text."""

    ONE = "one"
    LEAST = "least"
    PAIRS = "pairs"
    COUNT = "count"
    TEXT = "text"


@dataclass(frozen=True)
class Measured:
    """One value: the catalogue's field, the card's letter, how it is read; ``sign`` -1 lies inboard."""

    field: str
    letter: str
    name: str | Promise
    where: str | Promise
    kind: Kind = Kind.ONE
    tolerance_mm: float | None = 1.0
    how: str = "rule"
    sign: int = 1
    front_only: bool = False


FIELDS = (
    Measured("bolt_count", "A", _("Number of holes"), _("At the hub."), Kind.COUNT, None, "rule"),
    Measured(
        "bolt_circle_mm",
        "A",
        _("Bolt circle"),
        _("Through the middles of the holes, by the gauge for their number."),
        tolerance_mm=0.5,
        how="caliper",
    ),
    Measured(
        "spigot_diameter_mm",
        "B",
        _("Spigot, diameter"),
        _("Twice, at right angles, free of rust."),
        tolerance_mm=0.1,
        how="caliper",
    ),
    Measured(
        "spigot_height_mm",
        "B",
        _("Spigot, height"),
        _("From the mounting face to the end of its cylinder."),
        tolerance_mm=0.5,
        how="caliper",
    ),
    Measured("thread", "C", _("Thread"), _("Of bolt or stud, as M14x1.5."), Kind.TEXT, None, "thread"),
    Measured(
        "seat",
        "C",
        _("Seat of the original fastener"),
        _("cone60, ball13 or flat."),
        Kind.TEXT,
        None,
        "template",
    ),
    Measured(
        "original_shank_mm",
        "C",
        _("Original bolt, shank"),
        _("From under the seat to the end."),
        tolerance_mm=0.5,
        how="caliper",
    ),
    Measured(
        "original_seat_thickness_mm",
        "C",
        _("Original wheel, thickness at the seat"),
        _("From the mounting face to where the fastener bears."),
        tolerance_mm=0.5,
        how="caliper",
    ),
    Measured(
        "hub_thread_mm",
        "D",
        _("Thread in the hub, length"),
        _("Depth of thread, or a bolt’s turns times the pitch."),
        tolerance_mm=0.5,
        how="caliper",
    ),
    Measured(
        "stud_length_mm",
        "D",
        _("Stud, length"),
        _("What stands before the mounting face; hubs with nuts only."),
        tolerance_mm=0.5,
        how="caliper",
    ),
    Measured(
        "free_depth_behind_hub_mm",
        "D",
        _("Free depth behind the hub"),
        _("Until a longer bolt would meet something, the hub turned once round."),
        tolerance_mm=1.0,
        how="caliper",
    ),
    Measured(
        "strut_face_mm",
        "E",
        _("Hub face to strut"),
        _("Inwards, at several heights of the rim; wheels straight ahead, vehicle on the ground."),
        Kind.LEAST,
        2.0,
        sign=-1,
    ),
    Measured(
        "arch_lip_mm",
        "F",
        _("Hub face to arch lip"),
        _("Outwards to the lip’s inner edge, at several places; vehicle on the ground."),
        Kind.LEAST,
        2.0,
    ),
    Measured(
        "brake_envelope_mm",
        "G",
        _("Brake envelope"),
        _("By template: radius from the middle, and how far before (+) or behind (-) the face."),
        Kind.PAIRS,
        1.0,
        "template",
    ),
    Measured(
        "lock_free_mm",
        "H",
        _("Free space at full lock and bump"),
        _("Least gap around the original wheel, lock to lock, springs compressed as far as they go."),
        Kind.LEAST,
        3.0,
        front_only=True,
    ),
    Measured(
        "arch_diameter_mm",
        "I",
        _("Wheel opening, diameter"),
        _("Of the circle that the opening follows."),
        tolerance_mm=5.0,
    ),
    Measured(
        "guard_rear_edge_mm",
        "J",
        _("Arch, rear end"),
        _("How high above the wheel’s middle it ends behind."),
        tolerance_mm=5.0,
    ),
    Measured(
        "original_track_mm",
        "K",
        _("Track"),
        _("Middle to middle of the tyres, on the original wheels."),
        tolerance_mm=3.0,
    ),
)
BY_FIELD: dict[str, Measured] = {one.field: one for one in FIELDS}
SPACE = ("strut_face_mm", "arch_lip_mm", "brake_envelope_mm", "lock_free_mm")
"""Fields that the axle's one tolerance speaks of."""


def of_axle(position: str) -> list[Measured]:
    """Return what is measured at an axle."""
    return [one for one in FIELDS if position == "front" or not one.front_only]
