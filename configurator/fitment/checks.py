"""The checks, in order: what each computes, in what unit, from which inputs, by which source."""

from collections.abc import Callable
from dataclasses import dataclass

from . import formulas_mounting as mounting
from . import formulas_rating as rating
from . import formulas_space as space
from . import wording
from .outcome import Outcome
from .quantities import Quantities
from .wording import Fit, Words


@dataclass(frozen=True)
class Rule:
    """One check; `formula` returns None where the check does not apply to the axle.

    An `only_where` check has a row only where it applies; the others always have one.
    """

    id: str
    formula: Callable[[Quantities], Outcome | None]
    words: Words
    units: tuple[str, ...]
    inputs: tuple[str, ...]
    note: bool = False
    only_where: bool = False


def _rule(
    formula: Callable[[Quantities], Outcome | None],
    unit: str,
    inputs: str,
    *,
    note: bool = False,
    only_where: bool = False,
) -> Rule:
    """Name the rule, and find its words, by the formula's name; units and inputs are parted by spaces."""
    name = formula.__name__
    words, units = getattr(wording, name), tuple(unit.split("|"))
    return Rule(name, formula, words, units, tuple(inputs.split()), note, only_where)


_POSITION = "wheel.width_in wheel.offset_mm tyre.section_width_mm "
_TRACK = "axle.original_wheel.offset_mm wheel.offset_mm "
_ORIGINAL = "axle.original_wheel.width_in axle.original_wheel.offset_mm axle.original_tyre "
_LENGTH = "axle.fastener axle.original_shank_mm axle.original_seat_thickness_mm fastener.shank_mm "
_REACH = _LENGTH + "axle.stud_length_mm spacer.stud_length_mm wheel.seat_thickness_mm spacer.kind "

RULES: tuple[Rule, ...] = (
    _rule(
        mounting.bolt_circle,
        "mm|holes",
        "axle.bolt_count axle.bolt_circle_mm wheel.bolt_count wheel.bolt_circle_mm",
    ),
    _rule(
        mounting.centre_bore,
        "mm",
        "axle.spigot_diameter_mm wheel.bore_mm spacer.bore_mm spacer.spigot_diameter_mm",
    ),
    _rule(mounting.spigot_engagement, "mm", "axle.spigot_height_mm spacer.spigot_height_mm"),
    _rule(
        mounting.spacer_kind,
        "mm",
        "spacer.kind axle.spigot_height_mm axle.spigot_diameter_mm axle.stud_length_mm",
    ),
    _rule(mounting.seat, "mismatch", "wheel.seat fastener.seat"),
    _rule(mounting.fastener_length, "mm", _REACH + "axle.thread"),
    _rule(
        mounting.thread_engagement,
        "mm",
        _REACH
        + "axle.hub_thread_mm axle.thread fastener.thread spacer.material spacer.hub_seat_thickness_mm",
    ),
    _rule(
        mounting.fastener_protrusion,
        "mm",
        _REACH + "axle.hub_thread_mm axle.free_depth_behind_hub_mm",
    ),
    _rule(space.brake_clearance, "mm", "axle.brake_envelope_mm wheel.inside_profile_mm"),
    _rule(space.inboard_clearance, "mm", _POSITION + "axle.strut_face_mm"),
    _rule(space.outboard_position, "mm", _POSITION + "axle.arch_lip_mm"),
    _rule(space.wheel_cover, "mm|deg", _POSITION + "axle.arch_lip_mm"),
    _rule(space.lock_sweep, "mm", _POSITION + _ORIGINAL + "tyre.overall_diameter_mm"),
    _rule(space.twin_spacing, "mm", _POSITION, only_where=True),
    _rule(space.arch_diameter, "mm", "axle.arch_diameter_mm tyre.overall_diameter_mm"),
    _rule(
        rating.tyre_rim_width,
        "in",
        "wheel.width_in wheel.diameter_in tyre.rim_min_in tyre.rim_max_in",
    ),
    _rule(
        rating.tyre_load, "kg", "axle.axle_load_kg tyre.load_index tyre.dual_load_index axle.max_speed_kmh"
    ),
    _rule(rating.tyre_speed, "km/h", "axle.max_speed_kmh tyre.speed_symbol"),
    _rule(rating.wheel_load, "kg", "axle.axle_load_kg wheel.load_rating_kg"),
    _rule(rating.speedometer, "km/h", "axle.original_tyre axle.max_speed_kmh tyre.overall_diameter_mm"),
    _rule(space.track_change, "%", _TRACK + "axle.original_track_mm"),
    _rule(space.bearing_moment, "N m", _TRACK + "axle.axle_load_kg", note=True),
    _rule(
        rating.clamp_load,
        "N",
        "axle.torque_nm axle.thread axle.property_class fastener.thread fastener.property_class",
    ),
)
CHECK_IDS = tuple(rule.id for rule in RULES)


def _asked(name: str, rule: Rule, fit: Fit) -> bool:
    """Tell whether an input plays a part in this fit at all."""
    part, _, field = name.partition(".")
    bolt_on = fit.spacer is not None and fit.spacer.kind == "bolt_on"
    nuts = fit.axle.fastener == "nut"
    if getattr(fit, part) is None:
        return False
    original = fit.fastener is None or rule.id == "fastener_length"
    hub_bolts = bolt_on and not nuts and fit.spacer is not None and fit.spacer.hub_shank_mm is not None
    tyre = fit.numbers.t
    return {
        "original_shank_mm": not nuts and original,
        "original_seat_thickness_mm": not nuts and original,
        "shank_mm": not nuts,
        "seat_thickness_mm": nuts or fit.fastener is not None or rule.id == "fastener_length",
        "hub_thread_mm": not nuts and (not bolt_on or hub_bolts),
        "free_depth_behind_hub_mm": not bolt_on,
        "stud_length_mm": nuts and (bolt_on == (part == "spacer") or rule.id == "spacer_kind"),
        "spigot_height_mm": part == "spacer" or rule.id == "spigot_engagement" or fit.numbers.own_spigot > 0,
        "spigot_diameter_mm": _spigot_matters(part, rule, fit),
        "material": bolt_on and not nuts,
        "hub_seat_thickness_mm": hub_bolts,
        "dual_load_index": fit.axle.dual_wheels,
        "load_index": not fit.axle.dual_wheels,
        "section_width_mm": tyre.section_base != tyre.section_base,
        "overall_diameter_mm": tyre.diameter != tyre.diameter,
        "max_speed_kmh": rule.id != "tyre_load" or (tyre.load != tyre.load and tyre.most_load > 0),
        "property_class": (part == "fastener") == (fit.fastener is not None),
    }.get(field, True)


def _spigot_matters(part: str, rule: Rule, fit: Fit) -> bool:
    q = fit.numbers
    if part == "spacer":
        return bool(q.own_spigot > 0 and q.s.bore_mm > q.a.spigot_diameter_mm)
    return rule.id != "spacer_kind" or q.own_spigot > 0


def _is_missing(name: str, fit: Fit) -> bool:
    found: object = fit
    for step in name.split("."):
        found = getattr(found, step)
        if found is None:
            return True
    return False


def missing_inputs(rule: Rule, fit: Fit) -> tuple[str, ...]:
    """Return the names of the inputs that the check needs and the fit does not have."""
    return tuple(name for name in rule.inputs if _asked(name, rule, fit) and _is_missing(name, fit))
