"""Rows of makers, generations and axles."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import (
    Field,
)

from configurator.fitment import Axle, OriginalWheel

from . import models as m
from .row_types import Code, Codes, Holes, Profile, PropertyClass, Seat, Thread
from .rows_base import Row


class MakerRow(Row):
    tables = (m.Maker,)
    code: Code
    name: str


class GenerationRow(Row):
    tables = (m.Generation,)
    parts = {"": Axle}
    code: Code
    maker: Code
    name: str
    body_style: str
    rear_doors: Literal["", "twin", "tailgate", "drop gate"] = ""
    year_from: Annotated[int, Field(ge=1900, le=2100)]
    year_to: Annotated[int, Field(ge=1900, le=2100)] | None = None
    max_speed_kmh: Annotated[int, Field(gt=0, le=400)]
    speedometer_reads_high_pct: Annotated[float, Field(ge=0, le=15)] | None = None
    takes_spacers: bool = True
    drive: Literal["", "front", "rear", "four"] = ""
    axle_ratio_limit_pct: Annotated[float, Field(ge=0, le=50, allow_inf_nan=False)] | None = None
    category: Literal["M1", "M2", "M3", "N1", "N2", "N3", "L3", "L4", "L5", "L6", "L7"]
    facts: Codes = []
    body_finishes: Codes
    refs = {"maker": "makers"}
    many = {"body_finishes": "finishes"}
    lists = {"facts": "options"}


class AxleRow(Row):
    tables = (m.Axle,)
    parts = {"": Axle, "original_wheel_": OriginalWheel}
    apart = ("original_tyre",)
    generation: Code
    position: str
    wheels: int = 2
    mounting: Literal["bolted", "centre_axle"] = "bolted"
    bolt_count: Holes | None = None
    bolt_circle_mm: Annotated[float, Field(gt=50, lt=400)] | None = None
    spigot_diameter_mm: float | None = None
    spigot_height_mm: float | None = None
    fastener: Literal["bolt", "nut"] = "bolt"
    thread: Thread | Literal[""] = ""
    property_class: PropertyClass | Literal[""] = ""
    seat: Seat | Literal[""] = ""
    original_shank_mm: float | None = None
    original_seat_thickness_mm: float | None = None
    hub_thread_mm: float | None = None
    free_depth_behind_hub_mm: float | None = None
    stud_length_mm: float | None = None
    axle_load_kg: float | None = None
    original_track_mm: float | None = None
    original_wheel_width_in: float
    original_wheel_diameter_in: float
    original_wheel_offset_mm: float
    original_tyre: str
    arch_lip_mm: float | None = None
    strut_face_mm: float | None = None
    arch_diameter_mm: float | None = None
    brake_envelope_mm: Profile | None = None
    torque_nm: float | None = None
    track_change_limit_pct: Annotated[float, Field(ge=0, le=20)] | None = None
    lock_free_mm: float | None = None
    guard_rear_edge_mm: float | None = None
    tolerance_mm: Annotated[float, Field(ge=0, le=50)] = 2.0
    refs = {"generation": "generations"}
    key_fields = ("generation", "position")
