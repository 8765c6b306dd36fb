"""Rows of suppliers, items and typed parts."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, ClassVar, Literal

from django.db.models import Model
from pydantic import (
    Field,
    StringConstraints,
)

from configurator.fitment import Fastener, Spacer, Wheel

from . import models as m
from .row_types import (
    Code,
    Days,
    Endpoint,
    Holes,
    Kilograms,
    Money,
    Profile,
    PropertyClass,
    Seat,
    Thread,
    Word,
)
from .rows_base import Row


class SupplierRow(Row):
    tables = (m.Supplier,)
    code: Code
    name: str
    email: str = ""
    street: str = ""
    postcode: str = ""
    town: str = ""
    country: Annotated[str, StringConstraints(pattern=r"^[A-Z]{2}$")] = "DE"
    lead_time_days: Days = 5
    customer_number: str = ""
    legal_name: str = ""
    endpoint: Endpoint = ""
    retired: bool = False
    language: str = "en-gb"


class ItemRow(Row):
    """An item's own columns; every part row carries them too."""

    tables: ClassVar[tuple[type[Model], ...]] = (m.Item,)
    code: Code
    name: str
    supplier: Code
    supplier_ref: str = ""
    unit: str = "each"
    pack_size: Annotated[Decimal, Field(gt=0, max_digits=9, decimal_places=3, allow_inf_nan=False)] = Decimal(
        1
    )
    unit_cost: Money
    unit_price: Money
    lead_time_days: Days | None = None
    returnable: bool = True
    mass_kg: Kilograms | None = None
    retired: bool = False
    refs = {"supplier": "suppliers"}


class WheelRow(ItemRow):
    tables = (m.Item, m.Wheel)
    parts = {"": Wheel}
    maker: str
    design: Word
    finish: Code
    vehicle_class: Literal["car", "motorcycle"] = "car"
    width_in: float
    diameter_in: float
    offset_mm: float | None = None
    bolt_count: Holes | None = None
    bolt_circle_mm: Annotated[float, Field(gt=50, lt=400)] | None = None
    bore_mm: float | None = None
    seat: Seat | Literal[""] = ""
    seat_thickness_mm: float | None = None
    load_rating_kg: float | None = None
    inside_profile_mm: Profile | None = None
    fitted_inside_mm: float | None = None
    pocket_depth_mm: Annotated[float, Field(ge=0, le=40)] = 0
    refs = {"supplier": "suppliers", "finish": "finishes"}


class TyreRow(ItemRow):
    tables = (m.Item, m.Tyre)
    maker: str
    designation: str
    vehicle_class: Literal["car", "motorcycle"] = "car"


class SpacerRow(ItemRow):
    tables = (m.Item, m.Spacer)
    parts = {"": Spacer}
    thickness_mm: Annotated[float, Field(gt=0, le=100)]
    kind: Literal["slip_on", "bolt_on"]
    bolt_count: Holes
    bolt_circle_mm: Annotated[float, Field(gt=50, lt=400)]
    wheel_bolt_circle_mm: Annotated[float, Field(gt=50, lt=400)] | None = None
    bore_mm: float | None = None
    spigot_height_mm: float | None = None
    spigot_recess_mm: Annotated[float, Field(ge=0, le=40)] = 0
    stud_length_mm: Annotated[float, Field(gt=0, le=150)] | None = None
    material: Literal["", "aluminium", "steel"] = ""
    steel_inserts: bool = False


class FastenerRow(ItemRow):
    tables = (m.Item, m.Fastener)
    parts = {"": Fastener}
    apart = ("property_class",)
    kind: Literal["bolt", "nut"]
    locking: bool = False
    thread: Thread
    shank_mm: Annotated[float, Field(gt=0, le=150)] | None = None
    seat: Seat
    property_class: PropertyClass
    finish: Code
    refs = {"supplier": "suppliers", "finish": "finishes"}


class CentringRingRow(ItemRow):
    tables = (m.Item, m.CentringRing)
    outer_mm: Annotated[float, Field(gt=0, le=300)]
    inner_mm: Annotated[float, Field(gt=0, le=300)]
