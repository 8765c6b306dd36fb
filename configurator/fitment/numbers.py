"""Parts turned into numbers, NaN where not known; a number is called as the part's field that it comes from.

Every field of `parts` that holds one number is read by its own name, so a field that is added there can be
used in a formula at once. Beside them stand the numbers that codes, threads and tables stand for.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields
from types import SimpleNamespace
from typing import Any, get_args, get_type_hints

from . import defaults, threads, tyre_size
from .arithmetic import NAN
from .designation import Tyre
from .names import seat_code, split_thread
from .parts import Axle, Fastener, OriginalWheel, Spacer, Wheel
from .profile import inboard_first

NO_SPACER, SLIP_ON, BOLT_ON = 0.0, 1.0, 2.0
_KINDS = {"slip_on": SLIP_ON, "bolt_on": BOLT_ON}

# How one part gives one number.
Reader = Callable[[Any], float]
Readers = Mapping[str, Reader]


def field_reader(name: str, missing: float = NAN) -> Reader:
    """Return what reads the field of that name, ``missing`` where it is not known."""

    def read(part: Any) -> float:
        found = getattr(part, name)
        return missing if found is None else float(found)

    return read


def numeric_fields(kind: type) -> tuple[str, ...]:
    """Return the fields of a part that hold one number, or nothing."""
    hints = get_type_hints(kind)
    return tuple(each.name for each in fields(kind) if _is_number(hints[each.name]))


def _is_number(hint: Any) -> bool:
    """Whether a type is int or float, with or without None; a flag is none, nor is a list of numbers."""
    known = {one for one in get_args(hint) or (hint,) if one is not type(None)}
    return bool(known) and known <= {int, float}


def readers_of(part: type, /, *, missing: Mapping[str, float], **more: Reader) -> Readers:
    """Return how a part's numbers are read: its own fields, and ``more`` that follow from others."""
    return {name: field_reader(name, missing.get(name, NAN)) for name in numeric_fields(part)} | more


def _thread_code(part: Any) -> float:
    if part.thread is None:
        return NAN
    diameter, pitch = split_thread(part.thread)
    return 1000 * diameter + pitch


def _diameter(part: Any) -> float:
    return NAN if part.thread is None else split_thread(part.thread)[0]


def _pitch(part: Any) -> float:
    return NAN if part.thread is None else split_thread(part.thread)[1]


def _strong_thread(spacer: Spacer) -> float:
    """Return 1 where a spacer's own thread is as strong as a hub's, 0 where it is cut in aluminium."""
    if spacer.material == "steel" or spacer.steel_inserts:
        return 1.0
    return NAN if spacer.material is None else 0.0


WHEEL = readers_of(
    Wheel,
    missing={"fitted_inside_mm": 0.0, "tolerance_mm": defaults.WHEEL_TOLERANCE_MM},
    seat=lambda wheel: seat_code(wheel.seat),
    inside_doubt_mm=lambda wheel: defaults.FITTED_INSIDE_MM if wheel.fitted_inside_mm is None else 0.0,
)
TYRE: Readers = {
    "section_base": tyre_size.section_base_mm,
    "section_measured": field_reader("section_width_mm"),
    "diameter": tyre_size.overall_diameter_mm,
    "rim_code": field_reader("rim_diameter_in"),
    "rim_min": lambda tyre: tyre_size.permitted_rim_in(tyre)[0],
    "rim_max": lambda tyre: tyre_size.permitted_rim_in(tyre)[1],
    "top_speed": tyre_size.top_speed_kmh,
    "snow": lambda tyre: float(tyre.snow),
    "dual_spacing": field_reader("dual_spacing_mm"),
    "width_growth": lambda tyre: tyre_size.tolerances(tyre)[0],
    "width_tol": lambda tyre: tyre_size.tolerances(tyre)[1],
    "diameter_tol": lambda tyre: tyre_size.tolerances(tyre)[2],
}
SPACER = readers_of(
    Spacer,
    missing={"tolerance_mm": defaults.SPACER_TOLERANCE_MM},
    kind=lambda spacer: _KINDS.get(spacer.kind, NAN),
    strong_thread=_strong_thread,
)
_NO_SPACER = dict.fromkeys(SPACER, NAN) | {
    "thickness_mm": 0.0, "kind": NO_SPACER, "spigot_recess_mm": 0.0, "count": 1.0, "tolerance_mm": 0.0,
}  # fmt: skip
_AXLE = readers_of(
    Axle,
    missing={"suspension_travel_mm": 0.0, "tolerance_mm": defaults.AXLE_TOLERANCE_MM},
    thread_code=_thread_code,
    seat=lambda axle: seat_code(axle.seat),
)
_FASTENER = readers_of(
    Fastener,
    missing={"thread_length_mm": float("inf"), "tolerance_mm": defaults.FASTENER_TOLERANCE_MM},
    seat=lambda fastener: seat_code(fastener.seat),
)
_TO_BE_FOUND = dict.fromkeys(_FASTENER, NAN) | {"thread_length_mm": float("inf"), "tolerance_mm": 0.0}


def _one(part: Any, readers: Readers) -> SimpleNamespace:
    return SimpleNamespace(**{name: read(part) for name, read in readers.items()})


def axle_numbers(axle: Axle) -> SimpleNamespace:
    """Return one axle's numbers; axles are never arrays, a grid is made per axle."""
    found = _one(axle, _AXLE)
    found.brake = tuple((float(r), float(y)) for r, y in axle.brake_envelope_mm or ())
    found.inboard_points = tuple((float(r), float(y)) for r, y in axle.inboard_points_mm or ())
    found.nuts = axle.fastener == "nut"
    found.fastener_known = axle.fastener is not None
    found.bolted = axle.mounting == "bolted"
    found.twin = axle.dual_wheels
    found.steered = axle.position == "front" if axle.steered is None else axle.steered
    if axle.required_inboard_clearance_mm is None:
        steered = defaults.STEERED_CLEARANCE_MM
        found.required_inboard_clearance_mm = steered if found.steered else defaults.INBOARD_CLEARANCE_MM
    found.track_change_usual_pct, found.track_change_limit_pct = _track_limits(axle)
    _add_original(found, axle.original_wheel or OriginalWheel(), axle.original_tyre)
    return found


def _add_original(found: SimpleNamespace, wheel: OriginalWheel, tyre: Tyre | None) -> None:
    width, found.original_offset = field_reader("width_in")(wheel), field_reader("offset_mm")(wheel)
    found.original_diameter = NAN if tyre is None else float(tyre_size.overall_diameter_mm(tyre))
    section = NAN if tyre is None else tyre_size.section_width_mm(tyre, width)
    half = (
        max(section / 2, width * defaults.INCH_MM / 2 + defaults.RIM_FLANGE_MM) if section == section else NAN
    )
    inner = abs(found.original_offset) if found.twin else found.original_offset
    outer = -inner if found.twin else inner
    found.original_inner, found.original_outer = -half - inner, half - outer


def _track_limits(axle: Axle) -> tuple[float, float]:
    usual, limit = axle.track_change_usual_pct, axle.track_change_limit_pct
    if usual is None:
        usual = defaults.TRACK_USUAL_PCT if limit is None else limit
    return float(usual), float(max(usual, defaults.TRACK_LIMIT_PCT) if limit is None else limit)


def fastener_numbers(axle: Axle, fastener: Fastener | None) -> SimpleNamespace:
    """Return the fastener's numbers; with none given, those of the fastener to be found."""
    source: Axle | Fastener = axle if fastener is None else fastener
    least = threads.least_engagement_mm(source.thread)
    diameter = _diameter(source)
    return SimpleNamespace(
        **(_TO_BE_FOUND if fastener is None else vars(_one(fastener, _FASTENER))),
        given=fastener is not None,
        thread_code=_thread_code(source),
        diameter=diameter,
        pitch=_pitch(source),
        least_engagement=least,
        least_in_aluminium=max(least, defaults.ALUMINIUM_ENGAGEMENT_D * diameter),
        proof_load=threads.proof_load_n(source.thread, source.property_class),
    )


def wheel_numbers(wheel: Wheel) -> SimpleNamespace:
    """Return one wheel's numbers."""
    found = _one(wheel, WHEEL)
    points = inboard_first(wheel.inside_profile_mm) if wheel.inside_profile_mm else ()
    found.profile = tuple((float(r), float(y)) for r, y in points)
    return found


def with_load(found: SimpleNamespace, tyres: Sequence[Tyre], axle: Axle, pack: Any) -> SimpleNamespace:
    """Add the load at the vehicle's top speed, and the most it could be at any speed."""
    top = NAN if axle.max_speed_kmh is None else float(axle.max_speed_kmh)
    loads = [tyre_size.load_capacity_kg(t, twin=axle.dual_wheels) for t in tyres]
    found.most_load = pack(loads)
    found.load = pack(
        [load * tyre_size.speed_load_factor(t, top) for load, t in zip(loads, tyres, strict=True)]
    )
    return found


def tyre_numbers(tyre: Tyre, axle: Axle) -> SimpleNamespace:
    """Return one tyre's numbers, its load being that at the vehicle's top speed."""
    return with_load(_one(tyre, TYRE), [tyre], axle, lambda column: column[0])


def spacer_numbers(spacer: Spacer | None) -> SimpleNamespace:
    """Return one spacer's numbers; none is one of no thickness."""
    return SimpleNamespace(**_NO_SPACER) if spacer is None else _one(spacer, SPACER)
