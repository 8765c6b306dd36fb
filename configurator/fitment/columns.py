"""Parts turned into numbers: floats for one fit, arrays for a whole catalogue, NaN where not known.

Arrays are shaped (tyres, spacers, wheels) with 1 for the axes a part does not vary on, so that NumPy's
broadcasting computes each formula on the smallest grid it depends on; wheels come last because the
longest axis is the quickest to run along.
"""

from collections.abc import Callable, Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np

from . import defaults, threads, tyre_size
from .arithmetic import NAN
from .designation import Tyre
from .names import seat_code, split_thread
from .parts import Axle, Fastener, OriginalWheel, Spacer, Wheel
from .profile import Points, inboard_first

NO_SPACER, SLIP_ON, BOLT_ON = 0.0, 1.0, 2.0
_KINDS = {"slip_on": SLIP_ON, "bolt_on": BOLT_ON}

# How one part gives one number.
Reader = Callable[[Any], float]


def _field(name: str, missing: float = NAN) -> Reader:
    def read(part: Any) -> float:
        found = getattr(part, name)
        return missing if found is None else float(found)

    return read


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


_WHEEL: dict[str, Reader] = {
    "width_in": _field("width_in"),
    "diameter_in": _field("diameter_in"),
    "offset": _field("offset_mm"),
    "bolt_count": _field("bolt_count"),
    "bolt_circle": _field("bolt_circle_mm"),
    "bore": _field("bore_mm"),
    "seat": lambda wheel: seat_code(wheel.seat),
    "seat_thickness": _field("seat_thickness_mm"),
    "load_rating": _field("load_rating_kg"),
    "pocket": _field("pocket_depth_mm"),
    "fitted_inside": _field("fitted_inside_mm", 0.0),
    "inside_doubt": lambda wheel: defaults.FITTED_INSIDE_MM if wheel.fitted_inside_mm is None else 0.0,
    "tol": _field("tolerance_mm", defaults.WHEEL_TOLERANCE_MM),
}
_TYRE: dict[str, Reader] = {
    "section_base": tyre_size.section_base_mm,
    "section_measured": _field("section_width_mm"),
    "diameter": tyre_size.overall_diameter_mm,
    "rim_code": _field("rim_diameter_in"),
    "rim_min": lambda tyre: tyre_size.permitted_rim_in(tyre)[0],
    "rim_max": lambda tyre: tyre_size.permitted_rim_in(tyre)[1],
    "top_speed": tyre_size.top_speed_kmh,
    "snow": lambda tyre: float(tyre.snow),
    "dual_spacing": _field("dual_spacing_mm"),
    "width_growth": lambda tyre: tyre_size.tolerances(tyre)[0],
    "width_tol": lambda tyre: tyre_size.tolerances(tyre)[1],
    "diameter_tol": lambda tyre: tyre_size.tolerances(tyre)[2],
}
_SPACER: dict[str, Reader] = {
    "thickness": _field("thickness_mm"),
    "kind": lambda spacer: _KINDS.get(spacer.kind, NAN),
    "bore": _field("bore_mm"),
    "spigot_height": _field("spigot_height_mm"),
    "spigot_diameter": _field("spigot_diameter_mm"),
    "recess": _field("spigot_recess_mm"),
    "bolt_count": _field("bolt_count"),
    "bolt_circle": _field("bolt_circle_mm"),
    "wheel_bolt_count": _field("wheel_bolt_count"),
    "wheel_bolt_circle": _field("wheel_bolt_circle_mm"),
    "thread": _field("thread_mm"),
    "strong_thread": _strong_thread,
    "stud_length": _field("stud_length_mm"),
    "hub_shank": _field("hub_shank_mm"),
    "hub_seat_thickness": _field("hub_seat_thickness_mm"),
    "min_thickness": _field("min_thickness_mm"),
    "max_thickness": _field("max_thickness_mm"),
    "count": _field("count"),
    "tol": _field("tolerance_mm", defaults.SPACER_TOLERANCE_MM),
}
_NO_SPACER = dict.fromkeys(_SPACER, NAN) | {
    "thickness": 0.0, "kind": NO_SPACER, "recess": 0.0, "count": 1.0, "tol": 0.0,
}  # fmt: skip
_AXLE: dict[str, Reader] = {
    "wheels": _field("wheels"),
    "bolt_count": _field("bolt_count"),
    "bolt_circle": _field("bolt_circle_mm"),
    "spigot_diameter": _field("spigot_diameter_mm"),
    "spigot_height": _field("spigot_height_mm"),
    "thread_code": _thread_code,
    "seat": lambda axle: seat_code(axle.seat),
    "original_shank": _field("original_shank_mm"),
    "original_seat_thickness": _field("original_seat_thickness_mm"),
    "hub_thread": _field("hub_thread_mm"),
    "free_depth": _field("free_depth_behind_hub_mm"),
    "stud_length": _field("stud_length_mm"),
    "load": _field("axle_load_kg"),
    "max_speed": _field("max_speed_kmh"),
    "track": _field("original_track_mm"),
    "arch_lip": _field("arch_lip_mm"),
    "required_cover": _field("required_cover_mm"),
    "guard_front": _field("guard_front_deg"),
    "guard_rear": _field("guard_rear_deg"),
    "guard_edge": _field("guard_rear_edge_mm"),
    "strut_face": _field("strut_face_mm"),
    "lock_free": _field("lock_free_mm"),
    "arch_diameter": _field("arch_diameter_mm"),
    "travel": _field("suspension_travel_mm", 0.0),
    "brake_clearance": _field("required_brake_clearance_mm"),
    "torque": _field("torque_nm"),
    "nut_factor": _field("nut_factor"),
    "reads_high": _field("speedometer_reads_high_pct"),
    "tol": _field("tolerance_mm", defaults.AXLE_TOLERANCE_MM),
}


def _one(part: Any, readers: dict[str, Reader]) -> SimpleNamespace:
    return SimpleNamespace(**{name: read(part) for name, read in readers.items()})


def _many(parts: Sequence[Any], readers: dict[str, Reader], shape: tuple[int, ...]) -> SimpleNamespace:
    return SimpleNamespace(
        **{name: _column([read(part) for part in parts], shape) for name, read in readers.items()}
    )


def _column(values: list[float], shape: tuple[int, ...]) -> Any:
    """Return an array, or one float where all are the same: then no grid need vary on that axis for it."""
    if len(set(values)) == 1 or all(value != value for value in values):
        return values[0]
    return np.array(values, dtype=float).reshape(shape)


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
    found.inboard_clearance = axle.required_inboard_clearance_mm
    if found.inboard_clearance is None:
        steered = defaults.STEERED_CLEARANCE_MM
        found.inboard_clearance = steered if found.steered else defaults.INBOARD_CLEARANCE_MM
    found.track_usual, found.track_limit = _track_limits(axle)
    _add_original(found, axle.original_wheel or OriginalWheel(), axle.original_tyre)
    return found


def _add_original(found: SimpleNamespace, wheel: OriginalWheel, tyre: Tyre | None) -> None:
    width, found.original_offset = _field("width_in")(wheel), _field("offset_mm")(wheel)
    found.original_diameter = NAN if tyre is None else float(tyre_size.overall_diameter_mm(tyre))
    section = NAN if tyre is None else tyre_size.section_width_mm(tyre, width)
    half = (
        max(section / 2, width * defaults.INCH_MM / 2 + defaults.RIM_FLANGE_MM) if section == section else NAN
    )
    found.original_inner, found.original_outer = -half - found.original_offset, half - found.original_offset


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
        given=fastener is not None,
        shank=NAN if fastener is None else _field("shank_mm")(fastener),
        seat=NAN if fastener is None else seat_code(fastener.seat),
        thread_code=_thread_code(source),
        diameter=diameter,
        pitch=_pitch(source),
        least_engagement=least,
        least_in_aluminium=max(least, defaults.ALUMINIUM_ENGAGEMENT_D * diameter),
        proof_load=threads.proof_load_n(source.thread, source.property_class),
        nut_thread=float("inf") if fastener is None else _field("thread_length_mm", float("inf"))(fastener),
        tol=_field("tolerance_mm", defaults.FASTENER_TOLERANCE_MM)(fastener) if fastener else 0.0,
    )


def wheel_numbers(wheel: Wheel) -> SimpleNamespace:
    """Return one wheel's numbers."""
    found = _one(wheel, _WHEEL)
    points = inboard_first(wheel.inside_profile_mm) if wheel.inside_profile_mm else ()
    found.profile = tuple((float(r), float(y)) for r, y in points)
    return found


def wheel_columns(wheels: Sequence[Wheel]) -> SimpleNamespace:
    """Return the numbers of many wheels, shaped (1, 1, wheels)."""
    found = _many(wheels, _WHEEL, (1, 1, -1))
    found.profile = _profile_columns(wheels)
    return found


def _profile_columns(wheels: Sequence[Wheel]) -> Points:
    """Pad the profiles to one length by repeating the last point, which moves no distance."""
    longest = max((len(wheel.inside_profile_mm or ()) for wheel in wheels), default=0)
    if not longest:
        return ()
    table = np.full((len(wheels), longest, 2), NAN)
    for row, wheel in zip(table, wheels, strict=True):
        if wheel.inside_profile_mm:
            points = inboard_first(wheel.inside_profile_mm)
            row[: len(points)] = points
            row[len(points) :] = points[-1]
    return tuple(
        (table[:, i, 0].reshape(1, 1, -1).copy(), table[:, i, 1].reshape(1, 1, -1).copy())
        for i in range(longest)
    )


def _with_load(found: SimpleNamespace, tyres: Sequence[Tyre], axle: Axle, pack: Any) -> SimpleNamespace:
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
    return _with_load(_one(tyre, _TYRE), [tyre], axle, lambda column: column[0])


def tyre_columns(tyres: Sequence[Tyre], axle: Axle) -> SimpleNamespace:
    """Return the numbers of many tyres, shaped (tyres, 1, 1)."""
    pack = lambda column: _column(column, (-1, 1, 1))  # noqa: E731
    return _with_load(_many(tyres, _TYRE, (-1, 1, 1)), tyres, axle, pack)


def spacer_numbers(spacer: Spacer | None) -> SimpleNamespace:
    """Return one spacer's numbers; none is one of no thickness."""
    return SimpleNamespace(**_NO_SPACER) if spacer is None else _one(spacer, _SPACER)


def spacer_columns(spacers: Sequence[Spacer | None]) -> SimpleNamespace:
    """Return the numbers of many spacers, shaped (1, spacers, 1); None among them is "no spacer"."""
    rows = [vars(spacer_numbers(spacer)) for spacer in spacers]
    return SimpleNamespace(**{name: _column([row[name] for row in rows], (1, -1, 1)) for name in _SPACER})
