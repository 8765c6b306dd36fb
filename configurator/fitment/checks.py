"""The checks, in order: what each computes, in what unit, from which inputs, by which source."""

from collections.abc import Callable
from dataclasses import dataclass

from . import formulas_mounting as mounting
from . import formulas_rating as rating
from . import formulas_space as space
from . import wording
from .formulas_mounting import Outcome
from .quantities import Quantities
from .wording import Fit, Words

PRACTICE = "common practice, no source"
GEOMETRY = "geometry"


@dataclass(frozen=True)
class Rule:
    """One check; `formula` returns None where the check does not apply to the axle."""

    id: str
    formula: Callable[[Quantities], Outcome | None]
    words: Words
    units: tuple[str, ...]
    source: str
    inputs: tuple[str, ...]
    note: bool = False


def _rule(
    formula: Callable[[Quantities], Outcome | None],
    unit: str,
    source: str,
    inputs: str,
    *,
    note: bool = False,
) -> Rule:
    """Name the rule, and find its words, by the formula's name; units and inputs are parted by spaces."""
    name = formula.__name__
    return Rule(
        name, formula, getattr(wording, name), tuple(unit.split()), source, tuple(inputs.split()), note
    )


_POSITION = "wheel.width_in wheel.offset_mm "
_TRACK = "axle.original_wheel.offset_mm wheel.offset_mm "
_LENGTH = "axle.fastener axle.original_shank_mm axle.original_seat_thickness_mm fastener.shank_mm "
_REACH = _LENGTH + "axle.stud_length_mm spacer.stud_length_mm wheel.seat_thickness_mm "

RULES: tuple[Rule, ...] = (
    _rule(
        mounting.bolt_circle,
        "mm holes",
        GEOMETRY,
        "axle.bolt_count axle.bolt_circle_mm wheel.bolt_count wheel.bolt_circle_mm",
    ),
    _rule(mounting.centre_bore, "mm", PRACTICE, "axle.spigot_diameter_mm wheel.bore_mm spacer.bore_mm"),
    _rule(mounting.spigot_engagement, "mm", PRACTICE, "axle.spigot_height_mm spacer.spigot_height_mm"),
    _rule(mounting.spacer_kind, "mm", PRACTICE, "spacer.kind axle.spigot_height_mm axle.stud_length_mm"),
    _rule(mounting.seat, "mismatch", GEOMETRY, "wheel.seat fastener.seat"),
    _rule(mounting.fastener_length, "mm", GEOMETRY, _REACH + "axle.thread"),
    _rule(
        mounting.thread_engagement,
        "mm",
        "ISO 898-1, ISO 724; least turns common practice, no source",
        _REACH + "axle.hub_thread_mm axle.thread fastener.thread",
    ),
    _rule(
        mounting.fastener_protrusion,
        "mm",
        GEOMETRY,
        _REACH + "axle.hub_thread_mm axle.free_depth_behind_hub_mm",
    ),
    _rule(space.brake_clearance, "mm", PRACTICE, "axle.brake_envelope_mm wheel.inside_profile_mm"),
    _rule(
        space.inboard_clearance,
        "mm",
        "geometry; ISO 4000-2 rim flange, UN R30/R54 tyre width; 5 mm common practice, no source",
        _POSITION + "axle.strut_face_mm",
    ),
    _rule(space.outboard_position, "mm", GEOMETRY, _POSITION + "axle.arch_lip_mm"),
    _rule(
        space.wheel_cover,
        "mm deg",
        "Regulation (EU) 1009/2010; local codes rule",
        _POSITION + "axle.arch_lip_mm",
    ),
    _rule(space.arch_diameter, "mm", GEOMETRY, "axle.arch_diameter_mm"),
    _rule(
        rating.tyre_rim_width,
        "in",
        "UN R30/R54, ISO 4000-1; range from memory of the trade's tables",
        "wheel.width_in wheel.diameter_in tyre.rim_min_in tyre.rim_max_in",
    ),
    _rule(rating.tyre_load, "kg", "UN R30/R54 load index", "axle.axle_load_kg tyre.load_index"),
    _rule(rating.tyre_speed, "km/h", "UN R30", "axle.max_speed_kmh tyre.speed_symbol"),
    _rule(rating.wheel_load, "kg", "maker's rating", "axle.axle_load_kg wheel.load_rating_kg"),
    _rule(rating.speedometer, "km/h", "UN R39", "axle.original_tyre axle.max_speed_kmh"),
    _rule(
        space.track_change,
        "%",
        "common practice, no source; local codes rule",
        _TRACK + "axle.original_track_mm",
    ),
    _rule(space.bearing_moment, "Nm", "note", _TRACK + "axle.axle_load_kg", note=True),
    _rule(
        mounting.clamp_load,
        "N",
        "ISO 898-1; T = K d F, handbook",
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
    return {
        "original_shank_mm": not nuts and original,
        "original_seat_thickness_mm": not nuts and original,
        "shank_mm": not nuts,
        "hub_thread_mm": not nuts and not bolt_on,
        "free_depth_behind_hub_mm": not bolt_on,
        "stud_length_mm": nuts and (bolt_on == (part == "spacer") or rule.id == "spacer_kind"),
        "spigot_height_mm": part == "spacer" or rule.id == "spigot_engagement" or fit.numbers.own_spigot > 0,
        "property_class": (part == "fastener") == (fit.fastener is not None),
    }.get(field, True)


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
