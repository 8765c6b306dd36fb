"""Values that can hardly be: questioned before they are kept, and kept all the same when measured twice.

Bounds are common practice, no source: what a vehicle of this trade can have at all, and how far a measured
value usually lies from the calculated one.
"""

from __future__ import annotations

from django.utils.translation import gettext as _

from configurator.builds.evaluation import FitRow

MOST = {"mm": 3000.0, "kg": 8000.0, "%": 100.0, "N m": 1000.0, "kN": 500.0, "km/h": 400.0}
"""What a value of this unit can be at most, either way."""
NEAR_MM, NEAR_SHARE = 80.0, 0.5
COARSE = {"mm": 20.0}
"""From which uncertainty on a measuring tells nothing."""
MILEAGE_MAX_KM = 2_000_000


def doubtful(row: FitRow, value: float, uncertainty: float) -> str:
    """Return why a measured value can hardly be, or nothing."""
    figures = {"value": f"{value:g}", "unit": row.unit}
    most = MOST.get(row.unit)
    if most is not None and abs(value) > most:
        return _("%(value)s %(unit)s cannot be at a vehicle. A slipped point, or another unit?") % figures
    if uncertainty > COARSE.get(row.unit, float("inf")):
        return _("Measured to within that much, the value decides nothing. Measure more exactly.")
    if isinstance(row.value, int | float) and row.unit == "mm":
        off = abs(value - row.value)
        if off > NEAR_MM and off > NEAR_SHARE * abs(row.value):
            return _(
                "%(value)s %(unit)s is far from the %(expected)s that the figures give. Measure again."
            ) % {
                **figures,
                "expected": f"{row.value:g}",
            }
    return ""


def doubtful_mileage(mileage_km: int, before_km: int | None) -> str:
    """Return why a mileage can hardly be, or nothing; ``before_km`` is the vehicle's last known one."""
    if mileage_km > MILEAGE_MAX_KM:
        return _("%(km)s km cannot be. A slipped point?") % {"km": mileage_km}
    if before_km is not None and mileage_km < before_km:
        return _("It had %(before)s km when it was here last. Read it again.") % {"before": before_km}
    return ""
