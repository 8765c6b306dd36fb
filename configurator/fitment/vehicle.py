"""The whole vehicle: front against rear rolling circumference, judged by its own original pairing."""

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import Field

from .arithmetic import VERDICTS, verdict_code
from .designation import Tyre
from .outcome import Outcome
from .parts import TyreField
from .rows import Check, known
from .said import message
from .sources import source_of
from .tyre_size import overall_diameter_mm

NAN = float("nan")
# Design diameters are printed in whole mm.
_ROUNDING_MM = 1.0


@dataclass(frozen=True, kw_only=True)
class Vehicle:
    """What decides how far the axles may differ: what is driven, and the limit in per cent.

    Common practice, no source: about 1 per cent with four-wheel drive, 3 with one axle driven.
    """

    drive: Literal["front", "rear", "four"] | None = None
    axle_ratio_limit_pct: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=50)] | None = None


@dataclass(frozen=True, kw_only=True)
class AxleTyres:
    """The tyre of one axle now and as the vehicle was made."""

    tyre: TyreField | None = None
    original_tyre: TyreField | None = None


def pairing(vehicle_limit_pct: Any, front: Any, rear: Any, old_front: Any, old_rear: Any) -> Outcome:
    """Change of the front's circumference over the rear's, per cent; overall diameters in mm, or arrays.

    An unchanged pairing fits by definition; otherwise design diameters rounded to whole mm are the tolerance.
    """
    value = (front / rear * (old_rear / old_front) - 1) * 100
    changed = (abs(value) > 1e-9) * 1.0
    tolerance = 100 * _ROUNDING_MM * (1 / front + 1 / rear) * changed
    return Outcome(value, vehicle_limit_pct, vehicle_limit_pct - abs(value), tolerance)


def axle_pairing(vehicle: Vehicle, front: AxleTyres, rear: AxleTyres) -> Check:
    """Return the row of the whole vehicle; `axle` is "vehicle". What is not known makes it `unknown`."""
    limit = NAN if vehicle.axle_ratio_limit_pct is None else float(vehicle.axle_ratio_limit_pct)
    sizes = [_diameter(axle.tyre) for axle in (front, rear)]
    sizes += [_diameter(axle.original_tyre) for axle in (front, rear)]
    found = pairing(limit if vehicle.drive else NAN, *sizes)
    verdict = VERDICTS[verdict_code(found.margin, found.tolerance)]
    missing = _missing(vehicle, front, rear) if verdict == "unknown" else ()
    kind = next((axle.tyre.kind for axle in (front, rear) if axle.tyre), "car")
    if missing:
        said = message("row.missing", fields=missing)
    else:
        name = "no_four" if verdict == "no" and vehicle.drive == "four" else verdict
        said = message(f"axle_pairing.{name}", change_pct=found.value, limit_pct=limit)
    return Check(
        id="axle_pairing",
        verdict=verdict,
        value=known(found.value),
        limit=known(limit),
        margin=known(found.margin),
        tolerance=known(found.tolerance),
        unit="%",
        axle="vehicle",
        messages=(said,),
        source=source_of("axle_pairing", kind),
        missing=missing,
    )


def _diameter(tyre: Tyre | None) -> float:
    return NAN if tyre is None else float(overall_diameter_mm(tyre))


def _missing(vehicle: Vehicle, front: AxleTyres, rear: AxleTyres) -> tuple[str, ...]:
    names = [
        f"vehicle.{name}" for name in ("drive", "axle_ratio_limit_pct") if getattr(vehicle, name) is None
    ]
    for position, axle in (("front", front), ("rear", rear)):
        for name in ("tyre", "original_tyre"):
            tyre = getattr(axle, name)
            if tyre is None:
                names.append(f"vehicle.{position}.{name}")
            elif _diameter(tyre) != _diameter(tyre):
                names.append(f"vehicle.{position}.{name}.overall_diameter_mm")
    return tuple(names)
