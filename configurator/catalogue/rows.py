"""What a row of each catalogue file may hold. Field names are the models' own.

A row declares what a file alone needs to know: how cells are read, what a field's values refer to, and
bounds narrower than storage and physics, which catch slips of the pen. The rest is taken from the tables it
fills and the fitment part it becomes (see `declared`).
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, ClassVar, Literal

from django.db.models import Model
from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationInfo,
    field_validator,
)

from configurator.fitment import Axle, Fastener, OriginalWheel, Spacer, Wheel

from . import models as m
from .declared import judge_by_engine, judge_by_table, table_fields
from .models import CODE_PATTERN


def _words(value: Any) -> Any:
    """Split a cell of words; TOML gives a list already."""
    return value.split() if isinstance(value, str) else value


def _pairs(value: Any) -> Any:
    """Split ``178:-35 140:20`` into [radius, y] pairs."""
    if not isinstance(value, str):
        return value
    return [tuple(pair.split(":")) for pair in value.split()]


Code = Annotated[str, StringConstraints(pattern=CODE_PATTERN, max_length=60)]
Codes = Annotated[list[Code], BeforeValidator(_words)]
Word = Annotated[str, StringConstraints(pattern=CODE_PATTERN, max_length=40)]
Words = Annotated[list[Word], BeforeValidator(_words)]
Profile = Annotated[
    list[tuple["Radius", "Level"]], BeforeValidator(_pairs), Field(min_length=1, max_length=40)
]
Radius = Annotated[float, Field(ge=0, le=600, allow_inf_nan=False)]
Level = Annotated[float, Field(ge=-400, le=400, allow_inf_nan=False)]
Kilograms = Annotated[float, Field(gt=0, le=10000, allow_inf_nan=False)]
Percent = Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]
Hours = Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)]
Amount = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
Days = Annotated[int, Field(ge=0, le=365)]
Count = Annotated[int, Field(ge=0, le=1000)]
Holes = Annotated[int, Field(ge=3, le=12)]
Money = Annotated[
    Decimal, Field(ge=0, max_digits=10, decimal_places=4, allow_inf_nan=False, lt=Decimal(1000000))
]
Quantity = Annotated[Decimal, Field(gt=0, max_digits=10, decimal_places=4, allow_inf_nan=False)]
Thread = Annotated[str, StringConstraints(pattern=r"^M\d{1,2}(\.\d)?(x\d(\.\d{1,2})?)?$", max_length=12)]
Seat = Annotated[str, StringConstraints(pattern=r"^(cone\d{2}|ball\d{2}|flat)$", max_length=12)]
PropertyClass = Literal["8.8", "10.9", "12.9", "8", "10", "12"]


class Row(BaseModel):
    """Base of all rows.

    ``refs`` (one row), ``many`` (a relation) and ``lists`` (kept as plain codes) say which field names
    rows of which namespace; ``nested`` names the fields that hold rows of their own. ``tables`` are those
    that the row fills; ``parts`` the fitment part it becomes, or several by the prefix of their fields;
    ``apart`` names fields that the part takes in another form.
    """

    model_config = ConfigDict(extra="forbid", str_strip_whitespace=True)
    tables: ClassVar[tuple[type[Model], ...]] = ()
    parts: ClassVar[dict[str, type]] = {}
    apart: ClassVar[tuple[str, ...]] = ()
    refs: ClassVar[dict[str, str]] = {}
    many: ClassVar[dict[str, str]] = {}
    lists: ClassVar[dict[str, str]] = {}
    nested: ClassVar[tuple[str, ...]] = ()
    key_fields: ClassVar[tuple[str, ...]] = ("code",)

    @field_validator("*", mode="before")
    @classmethod
    def _printable(cls, value: Any) -> Any:
        """Refuse control characters other than line breaks and tabs; databases and printers do too."""
        if isinstance(value, str) and any(ord(one) < 32 and one not in "\n\t" for one in value):
            raise ValueError("There is a control character in the text.")
        return value

    @field_validator("*")
    @classmethod
    def _as_declared(cls, value: Any, info: ValidationInfo) -> Any:
        """Judge a value by the table's own field and by the engine's."""
        name = info.field_name or ""
        if name in table_fields(cls.tables):
            judge_by_table(table_fields(cls.tables)[name], value)
        for prefix, part in cls.parts.items() if name not in cls.apart else ():
            if name.startswith(prefix):
                judge_by_engine(part, name.removeprefix(prefix), value)
        return value

    def key(self) -> str:
        """Return what names the row within its file."""
        return "/".join(str(getattr(self, name)) for name in self.key_fields)


Endpoint = Annotated[str, StringConstraints(pattern=r"^([0-9]{4}:[^\s:][^\s]*)?$", max_length=60)]
"""An electronic address for orders: scheme of the EAS code list, colon, identifier."""


class WorkshopRow(Row):
    tables = (m.Workshop,)
    name: str
    street: str
    postcode: str
    town: str
    country: Annotated[str, StringConstraints(pattern=r"^[A-Z]{2}$")] = "DE"
    email: str
    phone: str
    tax_number: str = ""
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")] = "EUR"
    tax_rate_pct: Annotated[Decimal, Field(ge=0, le=60, decimal_places=2, allow_inf_nan=False)]
    labour_rate_per_h: Annotated[Decimal, Field(ge=0, le=9999, decimal_places=2, allow_inf_nan=False)]
    deposit_pct: Annotated[Decimal, Field(ge=0, le=100, decimal_places=2, allow_inf_nan=False)] = Decimal(30)
    deposit_due_days: Days = 7
    iban: str
    bic: str = ""
    hours_per_day: Annotated[Decimal, Field(gt=0, le=24, decimal_places=2, allow_inf_nan=False)] = Decimal(8)
    terms: Annotated[str, Field(max_length=20000)] = ""
    terms_version: str
    local_codes: Annotated[str, Field(max_length=5000)] = ""
    legal_name: str = ""
    endpoint: Endpoint = ""
    delivery_street: str = ""
    delivery_postcode: str = ""
    delivery_town: str = ""
    key_fields = ()


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
    language: Literal["en-gb", "de"] = "en-gb"


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


class PaintSystemRow(Row):
    tables = (m.PaintSystem,)
    code: Code
    name: str
    surface: str
    max_temperature_c: Annotated[int, Field(gt=0, le=1200)] | None = None
    caution: Annotated[str, Field(max_length=1000)] = ""


class PaintLayerRow(Row):
    tables = (m.PaintLayer,)
    system: Code
    position: Annotated[int, Field(ge=1, le=20)]
    stage: str
    item: Code
    tinted: bool = False
    dry_film_um: Annotated[float, Field(gt=0, le=500)]
    volume_solids_pct: Percent
    transfer_efficiency_pct: Percent
    hands_on_h: Hours
    hands_on_h_per_m2: Hours = 0
    wait_h: Hours
    voc_subcategory: Literal["a", "b", "c", "d", "e"]
    voc_g_per_l: Annotated[float, Field(ge=0, le=1000)]
    voc_product: Literal["", "preparatory", "pre-cleaner", "wash-primer"] = ""
    refs = {"system": "paint_systems", "item": "items"}
    key_fields = ("system", "position")


class FinishRow(Row):
    tables = (m.Finish,)
    code: Code
    name: str
    role: str
    hex: str
    sheen: Literal["gloss", "satin", "matt"] = "gloss"
    paint_code: str = ""
    same_colour_as: Code | None = None
    refs = {"same_colour_as": "finishes"}


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


class OperationRow(Row):
    tables = (m.Operation,)
    stage: str
    name: str
    hands_on_h: Hours = 0
    wait_h: Hours = 0
    resource: str = "bay"
    share_key: str = ""
    paints: bool = False
    caution: Annotated[str, Field(max_length=1000)] = ""
    key_fields = ()


class MaterialRow(Row):
    tables = (m.Material,)
    item: Code
    basis: str
    quantity: Quantity
    note: str = ""
    refs = {"item": "items"}
    key_fields = ()


class RecipeRow(Row):
    tables = (m.Recipe,)
    code: Code
    name: str
    covers: str = "option"
    operation: Annotated[list[OperationRow], Field(min_length=1, max_length=60)]
    material: Annotated[list[MaterialRow], Field(max_length=60)] = []
    nested = ("operation", "material")


class FamilyRow(Row):
    tables = (m.Family,)
    code: Code
    name: str
    kind: str
    limit: Annotated[int, Field(ge=1, le=100)] | None = None
    section: Literal["vehicle", "accent", "panels", "removals", "care"]
    position: Count = 0


class OptionRow(Row):
    tables = (m.Option,)
    code: Code
    family: Code
    name: str
    summary: str = ""
    kind: str
    item: Code | None = None
    item_quantity: Annotated[int, Field(ge=1, le=100)] = 1
    recipe: Code | None = None
    generations: Codes = []
    finish_choices: Codes = []
    paint_system: Code | None = None
    paint_area_m2: Annotated[float, Field(ge=0, le=50)] = 0
    bond_length_m: Annotated[float, Field(ge=0, le=100)] = 0
    picture_part: (
        Annotated[str, StringConstraints(pattern=r"^[a-z][a-z_]*$", max_length=40)] | Literal[""]
    ) = ""
    tags: Words = []
    position: Count = 0
    refs = {"family": "families", "item": "items", "recipe": "recipes", "paint_system": "paint_systems"}
    many = {"generations": "generations"}


class BringRow(Row):
    item: Code
    quantity: Quantity
    basis: Literal["job", "choice", "wheel"] = "job"
    refs = {"item": "items"}
    key_fields = ()


class RuleRow(Row):
    tables = (m.Rule,)
    code: Code
    kind: str
    if_all: Annotated[
        list[Annotated[str, Field(min_length=1, max_length=100)]], Field(min_length=1, max_length=12)
    ]
    then_any: Annotated[list[Annotated[str, Field(min_length=1, max_length=100)]], Field(max_length=30)] = []
    brings: Annotated[list[BringRow], Field(max_length=12)] = []
    at_cost_of: Literal["customer", "workshop"] = "customer"
    reason: str
    generations: Codes = []
    active: bool = True
    many = {"generations": "generations"}
    nested = ("brings",)
