"""An invented van's axle and what may go on it, for the tests; JSON as in the command's contract."""

from copy import deepcopy
from typing import Any

from configurator.fitment import FitInput, FitReport, check_fit, read_input

INPUT: dict[str, Any] = {
    "axle": {
        "position": "front",
        "bolt_count": 5,
        "bolt_circle_mm": 112.0,
        "spigot_diameter_mm": 66.6,
        "spigot_height_mm": 12.0,
        "fastener": "bolt",
        "thread": "M14x1.5",
        "property_class": "10.9",
        "seat": "cone60",
        "original_shank_mm": 27.0,
        "original_seat_thickness_mm": 13.0,
        "hub_thread_mm": 20.0,
        "free_depth_behind_hub_mm": 8.0,
        "axle_load_kg": 1600,
        "max_speed_kmh": 180,
        "original_track_mm": 1628,
        "original_wheel": {"width_in": 6.5, "diameter_in": 16, "offset_mm": 51},
        "original_tyre": "205/65R16C 107/105T",
        "arch_lip_mm": 104.0,
        "strut_face_mm": -172.0,
        "lock_free_mm": 65.0,
        "arch_diameter_mm": 720.0,
        "brake_envelope_mm": [[178.0, -35.0], [140.0, 20.0]],
        "torque_nm": 180,
        "tolerance_mm": 2.0,
        "speedometer_reads_high_pct": 5.0,
        "track_change_usual_pct": 3.0,
        "track_change_limit_pct": 4.0,
    },
    "wheel": {
        "width_in": 8.0,
        "diameter_in": 18,
        "offset_mm": 45,
        "bolt_count": 5,
        "bolt_circle_mm": 112.0,
        "bore_mm": 66.6,
        "seat": "cone60",
        "seat_thickness_mm": 13.0,
        "load_rating_kg": 900,
        "inside_profile_mm": [[205.0, -60.0], [160.0, 30.0]],
        "fitted_inside_mm": 0.0,
        "tolerance_mm": 0.0,
    },
    "tyre": "235/50R18 101H XL",
    "spacer": {
        "thickness_mm": 15,
        "kind": "slip_on",
        "bore_mm": 66.6,
        "spigot_height_mm": 10.0,
        "tolerance_mm": 0.0,
    },
    "fastener": {
        "shank_mm": 42.0,
        "seat": "cone60",
        "thread": "M14x1.5",
        "property_class": "10.9",
        "tolerance_mm": 0.0,
    },
}


def data(**changes: Any) -> dict[str, Any]:
    """Return the input with changes: `axle__arch_lip_mm=90` or `spacer=None`; the value ... drops a field."""
    found = deepcopy(INPUT)
    for path, value in changes.items():
        part, _, field = path.partition("__")
        if not field:
            found[part] = value
        elif value is ...:
            found[part].pop(field, None)
        else:
            found[part][field] = value
    return found


def read(**changes: Any) -> FitInput:
    """Return the changed input as parts."""
    return read_input(data(**changes))


def judge(**changes: Any) -> FitReport:
    """Return the report on the changed input."""
    given = read(**changes)
    return check_fit(given.axle, given.wheel, given.tyre, given.spacer, given.fastener)
