"""The five things a fit is made of, as plain frozen values.

None means "not known": a check that needs the value then answers `unknown`, never a pass. The bounds are
those of the border (`reading.read_input`); a value made in Python is taken as given.
"""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from .designation import Tyre, tyre_from_text
from .names import check_property_class, check_seat, check_thread

Point = tuple[float, float]


def _number(low: float, high: float) -> object:
    """Bounds for one measured number: finite, not a boolean, not a string."""
    return Field(strict=True, allow_inf_nan=False, ge=low, le=high)


def _whole(value: object) -> object:
    """Let 5.0 stand for 5, as JSON makes no difference between them."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


Coordinate = Annotated[float, _number(-2000, 2000)]
Length = Annotated[float, _number(0, 2000)]
Diameter = Annotated[float, _number(1, 2000)]
ShortLength = Annotated[float, _number(0, 500)]
Tolerance = Annotated[float, _number(0, 100)]
Percent = Annotated[float, _number(0, 100)]
Inches = Annotated[float, _number(1, 40)]
Offset = Annotated[float, _number(-250, 250)]
Mass = Annotated[float, _number(1, 50_000)]
Degrees = Annotated[float, _number(0, 180)]
Count = Annotated[int, BeforeValidator(_whole), Field(strict=True, ge=1, le=20)]
ProfilePoint = tuple[Annotated[float, _number(0, 1000)], Coordinate]
Profile = Annotated[tuple[ProfilePoint, ...], Field(min_length=1, max_length=64)]
Outline = Annotated[tuple[ProfilePoint, ...], Field(min_length=2, max_length=64)]
Seat = Annotated[str, Field(strict=True, max_length=20), BeforeValidator(check_seat)]
Thread = Annotated[str, Field(strict=True, max_length=20), BeforeValidator(check_thread)]
PropertyClass = Annotated[str, Field(strict=True, max_length=10), BeforeValidator(check_property_class)]
TyreField = Annotated[Tyre, BeforeValidator(tyre_from_text)]
Flag = Annotated[bool, Field(strict=True)]


@dataclass(frozen=True, kw_only=True)
class OriginalWheel:
    """The wheel the vehicle was made with."""

    width_in: Inches | None = None
    diameter_in: Inches | None = None
    offset_mm: Offset | None = None


@dataclass(frozen=True, kw_only=True)
class Axle:
    """One axle of a vehicle: hub, fasteners, brakes, bodywork and ratings.

    `tolerance_mm` is the tolerance of every length measured on the vehicle (arch, strut, brake, spigot
    height, thread and free depth); not stated it is that of `defaults`, as for every part. `steered` not
    stated is so for a front axle. `lock_free_mm` is the least free space found around the original wheel at
    full lock and full bump. `required_inboard_clearance_mm` not stated is 5 mm, 8 mm where it steers.
    `arch_diameter_mm` is the largest circle about the wheel's axis clear of the arch at full bump, or at
    ride height when `suspension_travel_mm` is given. `inboard_points_mm` are [radius, y] points of strut and
    arms; `strut_face_mm` is one face at any radius. `guard_front_deg` and `guard_rear_deg` tell how far the
    arch covers ahead of and behind the vertical, `guard_rear_edge_mm` how high above the wheel's axis its
    rear edge ends. A change of track up to `track_change_usual_pct` passes, up to `track_change_limit_pct`
    needs asking; a limit given alone is both, none given is 2 and 4 per cent; narrowing has its own, lower
    ones. `stud_length_mm` is what a stud shows in front of the hub face, for hubs with studs and nuts.
    """

    position: Literal["front", "rear"]
    wheels: Annotated[int, BeforeValidator(_whole), Field(strict=True, ge=1, le=2)] = 2
    dual_wheels: Flag = False
    steered: Flag | None = None
    mounting: Literal["bolted", "centre_axle"] = "bolted"
    bolt_count: Count | None = None
    bolt_circle_mm: Diameter | None = None
    spigot_diameter_mm: Diameter | None = None
    spigot_height_mm: ShortLength | None = None
    fastener: Literal["bolt", "nut"] | None = None
    thread: Thread | None = None
    property_class: PropertyClass | None = None
    seat: Seat | None = None
    original_shank_mm: ShortLength | None = None
    original_seat_thickness_mm: ShortLength | None = None
    hub_thread_mm: ShortLength | None = None
    free_depth_behind_hub_mm: ShortLength | None = None
    stud_length_mm: ShortLength | None = None
    axle_load_kg: Mass | None = None
    max_speed_kmh: Annotated[float, _number(1, 500)] | None = None
    original_track_mm: Annotated[float, _number(100, 4000)] | None = None
    original_wheel: OriginalWheel | None = None
    original_tyre: TyreField | None = None
    arch_lip_mm: Coordinate | None = None
    required_cover_mm: Annotated[float, _number(-100, 200)] = 0.0
    guard_front_deg: Degrees | None = None
    guard_rear_deg: Degrees | None = None
    guard_rear_edge_mm: Coordinate | None = None
    strut_face_mm: Coordinate | None = None
    inboard_points_mm: Profile | None = None
    required_inboard_clearance_mm: Annotated[float, _number(0, 200)] | None = None
    lock_free_mm: Annotated[float, _number(0, 500)] | None = None
    arch_diameter_mm: Annotated[float, _number(100, 3000)] | None = None
    suspension_travel_mm: ShortLength | None = None
    brake_envelope_mm: Profile | None = None
    required_brake_clearance_mm: Annotated[float, _number(0, 50)] = 3.0
    torque_nm: Annotated[float, _number(1, 2000)] | None = None
    nut_factor: Annotated[float, _number(0.05, 0.6)] = 0.20
    track_change_usual_pct: Percent | None = None
    track_change_limit_pct: Percent | None = None
    speedometer_reads_high_pct: Annotated[float, _number(-20, 50)] | None = None
    tolerance_mm: Tolerance | None = None


@dataclass(frozen=True, kw_only=True)
class Wheel:
    """A wheel; `inside_profile_mm` is [radius, y] of its inside, from its own mounting face.

    `seat_thickness_mm` is the metal between the mounting face and the fastener's seat, of twins that of each.
    `fitted_inside_mm` is
    how far stick-on weights, a valve or a pressure sensor stand into the barrel: room asked for beside the
    brake's clearance; 0 says that there are none, not stated is a doubt of 4 mm.
    """

    width_in: Inches | None = None
    diameter_in: Inches | None = None
    offset_mm: Offset | None = None
    bolt_count: Count | None = None
    bolt_circle_mm: Diameter | None = None
    bore_mm: Diameter | None = None
    seat: Seat | None = None
    seat_thickness_mm: ShortLength | None = None
    load_rating_kg: Mass | None = None
    inside_profile_mm: Outline | None = None
    fitted_inside_mm: ShortLength | None = None
    pocket_depth_mm: ShortLength = 0.0
    tolerance_mm: Tolerance | None = None


@dataclass(frozen=True, kw_only=True)
class Spacer:
    """A spacer, one per wheel unless `count` says more.

    `bolt_count` and `bolt_circle_mm` are its hub side, `wheel_*` its wheel side; not given means that it
    repeats the hub's. `spigot_height_mm` is its own spigot, 0 when it has none; not stated on a spacer that
    leaves enough of the hub's to centre a wheel, it has none, since with one it could not sit flat.
    `spigot_diameter_mm` not stated is its bore. `spigot_recess_mm` is how far past its thickness the hub's
    spigot may reach inside its own, where that leaves a wall. `thread_mm` and `stud_length_mm` are a
    bolt-on one's own thread or studs for the wheel, cut in `material` or in steel inserts. `hub_shank_mm`
    and `hub_seat_thickness_mm` are the bolts that hold it to the hub and the metal under their heads; not
    stated they are taken to be supplied with it.
    """

    thickness_mm: Annotated[float, _number(0.1, 300)]
    kind: Literal["slip_on", "bolt_on"] | None = None
    bore_mm: Diameter | None = None
    spigot_height_mm: ShortLength | None = None
    spigot_diameter_mm: Diameter | None = None
    spigot_recess_mm: ShortLength = 0.0
    bolt_count: Count | None = None
    bolt_circle_mm: Diameter | None = None
    wheel_bolt_count: Count | None = None
    wheel_bolt_circle_mm: Diameter | None = None
    thread_mm: ShortLength | None = None
    material: Literal["aluminium", "steel"] | None = None
    steel_inserts: Flag | None = None
    stud_length_mm: ShortLength | None = None
    hub_shank_mm: ShortLength | None = None
    hub_seat_thickness_mm: ShortLength | None = None
    max_thickness_mm: ShortLength | None = None
    min_thickness_mm: ShortLength | None = None
    count: Count = 1
    tolerance_mm: Tolerance | None = None


@dataclass(frozen=True, kw_only=True)
class Fastener:
    """A wheel bolt (or nut: then `thread_length_mm` is the thread in it and `shank_mm` has no part)."""

    shank_mm: ShortLength | None = None
    seat: Seat | None = None
    thread: Thread | None = None
    property_class: PropertyClass | None = None
    thread_length_mm: ShortLength | None = None
    tolerance_mm: Tolerance | None = None
