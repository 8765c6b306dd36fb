"""One check's row for the invented van, and its numbers."""

import pytest

from .parts import judge

TABLE = (
    "bolt_circle centre_bore spigot_engagement spacer_kind seat fastener_length thread_engagement"
    " fastener_protrusion brake_clearance inboard_clearance outboard_position wheel_cover lock_sweep"
    " arch_diameter tyre_rim_width tyre_load tyre_speed wheel_load speedometer track_change"
    " bearing_moment clamp_load"
)


def row(check_id, **changes):
    return judge(**changes).check(check_id)


BOLT_ON = {"spacer__kind": "bolt_on", "spacer__thickness_mm": 25, "fastener": None}


def numbers(check_id, **changes):
    found = row(check_id, **changes)
    values = (found.value, found.limit, found.margin, found.tolerance)
    return found.verdict, *(None if v is None else pytest.approx(v, abs=1e-6) for v in values)
