"""What wheel, tyre and fasteners are rated for: rim width, load, speed, speedometer, clamp load."""

from typing import Any

from .arithmetic import NAN, known_or, least, pick
from .defaults import LEAST_CLAMP_SHARE, NUT_FACTOR_SCATTER, SNOW_LEAST_KMH
from .outcome import Outcome, definite_no, worse, worst
from .quantities import Quantities
from .threads import preload_n

R39_SHARE, R39_CONSTANT_KMH = 0.1, 4.0


def tyre_rim_width(q: Quantities) -> Outcome:
    """Rim width inside the tyre's permitted range, and the same rim diameter code, inches. Tolerance 0."""
    width, other = q.w.width_in, abs(q.w.diameter_in - q.t.rim_code)
    return worst(
        Outcome(width, q.t.rim_min, width - q.t.rim_min),
        Outcome(width, q.t.rim_max, q.t.rim_max - width),
        Outcome(q.w.diameter_in, q.t.rim_code, pick(other > 0, -other, pick(other == 0, float("inf"), NAN))),
    )


def tyre_capacity_kg(q: Quantities) -> Any:
    """Load of all tyres of the axle at the vehicle's top speed, kg."""
    return q.t.load * q.a.wheels * (2 if q.a.twin else 1)


def tyre_load(q: Quantities) -> Outcome:
    """Axle load against the tyres' capacity, kg. Plated figures: tolerance 0.

    A V, W or Y tyre's capacity needs the vehicle's top speed; what it could not carry at any is a no.
    """
    capacity, most = tyre_capacity_kg(q), q.t.most_load * q.a.wheels * (2 if q.a.twin else 1)
    margin = definite_no(capacity - q.a.axle_load_kg, most - q.a.axle_load_kg)
    return Outcome(q.a.axle_load_kg, known_or(capacity, most), margin)


def tyre_speed(q: Quantities) -> Outcome:
    """Speed of the symbol against the vehicle's maximum speed, km/h. Tolerance 0.

    A snow tyre may be slower than the vehicle, down to symbol Q: then a label in the driver's view says how
    fast, so what lies between is `measure`.
    """
    snow = (q.t.snow > 0) & (q.t.top_speed < q.a.max_speed_kmh) & (q.a.max_speed_kmh > SNOW_LEAST_KMH)
    wanted = pick(snow, SNOW_LEAST_KMH, q.a.max_speed_kmh)
    return Outcome(q.t.top_speed, wanted, q.t.top_speed - wanted, pick(snow, q.a.max_speed_kmh - wanted, 0.0))


def wheel_load(q: Quantities) -> Outcome:
    """Load on one wheel against its rating, kg. Tolerance 0."""
    share = q.a.axle_load_kg / (q.a.wheels * (2 if q.a.twin else 1))
    return Outcome(share, q.w.load_rating_kg, q.w.load_rating_kg - share)


def r39_speeds_kmh(max_speed_kmh: float) -> tuple[float, ...]:
    """Return the true speeds of UN R39 5.2.5 for a vehicle's design speed (bands from memory)."""
    share = 0.8 * max_speed_kmh
    if max_speed_kmh > 150:
        return (40.0, 80.0, 120.0)
    if max_speed_kmh > 100:
        return (40.0, 80.0, share) if share >= 100 else (40.0, 80.0)
    if max_speed_kmh > 45:
        return (40.0, share) if share >= 55 else (40.0,)
    return (share,)


def _at_known(ratio: Any, true: float, reads_high_pct: float) -> Outcome:
    shown = true * (1 + reads_high_pct / 100) / ratio
    highest = true + R39_SHARE * true + R39_CONSTANT_KMH
    under = shown - true <= highest - shown
    return Outcome(shown, pick(under, true, highest), least(shown - true, highest - shown))


def _at_any_lawful(ratio: Any, true: float) -> Outcome:
    """Judge without knowing the original: it showed anything from the true speed to the highest lawful one.

    The margin is that of the lawful original which bears the change best; it is below 0 only when no lawful
    one would pass. The tolerance is the width of the lawful band, so that only an unchanged circumference,
    lawful for every original, fits.
    """
    band = R39_SHARE * true + R39_CONSTANT_KMH
    highest = true + band
    larger = ratio > 1
    value = pick(larger, highest / ratio, true / ratio)
    limit = pick(larger, true, highest)
    return Outcome(value, limit, pick(larger, value - limit, limit - value), band)


def speedometer(q: Quantities) -> Outcome:
    """Indicated against true speed on the new tyres, km/h: 0 <= V1 - V2 <= 0.1 V2 + 4 (UN R39 5.3).

    The instrument turns with the wheel, so at true speed V2 it shows what it showed at V2 over the ratio of
    circumferences. The test speed with the least margin is the one reported.
    """
    ratio, top = q.circumference_ratio, q.a.max_speed_kmh
    if top != top:
        return Outcome(NAN, NAN, ratio * NAN)
    known = q.a.speedometer_reads_high_pct == q.a.speedometer_reads_high_pct
    rows = [
        _at_known(ratio, true, q.a.speedometer_reads_high_pct) if known else _at_any_lawful(ratio, true)
        for true in r39_speeds_kmh(top)
    ]
    found = rows[0]
    for row in rows[1:]:
        found = worse(found, row)
    return found


def clamp_load(q: Quantities) -> Outcome | None:
    """Preload at the set torque, F = T / (K d), between the least share of the proof load and all of it, N.

    Tolerance: the scatter of K under a torque wrench, which makes F up to a third more or a fifth less.
    """
    if not q.a.bolted:
        return None
    preload, proof = preload_n(q.a.torque_nm, q.a.nut_factor, q.f.diameter), q.f.proof_load
    more, less = 1 / (1 - NUT_FACTOR_SCATTER) - 1, 1 - 1 / (1 + NUT_FACTOR_SCATTER)
    slack = LEAST_CLAMP_SHARE * proof
    return worse(
        Outcome(preload, proof, proof - preload, more * preload),
        Outcome(preload, slack, preload - slack, less * preload),
    )
