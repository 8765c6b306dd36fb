"""Words for the codes that engines answer with: checks, inputs, seats, verdicts, stages, units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from django.utils.translation import get_language, gettext
from django.utils.translation import gettext_lazy as _

from configurator.builds.evaluation import FitRow
from configurator.builds.sentences import SENTENCES
from configurator.catalogue.words import PLACES, STAGES
from configurator.fitment.messages import CODES

TONES = {"fits": "ok", "measure": "warn", "unknown": "warn", "no": "stop", "note": "info"}
SEAT = re.compile(r"(cone|ball)(\d+(?:\.\d)?)")
SEATS = {"cone": _("a {size}° cone seat"), "ball": _("an R{size} ball seat"), "flat": _("a flat seat")}
CHECKS = {
    "bolt_circle": _("the bolt holes differ"),
    "centre_bore": _("the centre bore differs"),
    "spigot_engagement": _("too little of the hub's spigot is left"),
    "spacer_kind": _("the spacer is of the wrong kind"),
    "seat": _("the bolt's seat differs"),
    "fastener_length": _("no bolt of that length"),
    "thread_engagement": _("too few turns of thread"),
    "fastener_protrusion": _("the bolt would stand out behind the hub"),
    "brake_clearance": _("the brake is too close"),
    "inboard_clearance": _("the strut is too close"),
    "outboard_position": _("it stands out of the arch"),
    "wheel_cover": _("the arch must cover more of the tyre"),
    "arch_diameter": _("the tyre is too tall for the arch"),
    "tyre_rim_width": _("no stocked tyre suits the rim"),
    "tyre_load": _("no stocked tyre carries the axle load"),
    "tyre_speed": _("no stocked tyre is fast enough"),
    "wheel_load": _("the wheel's rating is below the axle load"),
    "speedometer": _("the speedometer would be out"),
    "track_change": _("the track changes too much"),
    "clamp_load": _("the bolts' clamp load is out"),
    "lock_sweep": _("the wheel would rub at full lock"),
    "twin_spacing": _("the twin tyres stand too close"),
    "axle_pairing": _("front and rear tyres do not go together"),
}

MEASURED = {
    "spigot_engagement": _("the hub's spigot"),
    "fastener_protrusion": _("the room behind the hub"),
    "thread_engagement": _("the hub's thread"),
    "brake_clearance": _("the room for the brake"),
    "inboard_clearance": _("the room beside the strut"),
    "outboard_position": _("where it stands in the arch"),
    "wheel_cover": _("how the arch covers it"),
    "arch_diameter": _("the room in the arch"),
    "speedometer": _("the speedometer"),
    "wheel_load": _("the wheel's rating"),
    "track_change": _("the track"),
    "spacer_kind": _("the thickness of the spacer"),
    "fastener_length": _("the length of the bolts"),
    "lock_sweep": _("the room at full lock"),
    "twin_spacing": _("the room between the twin tyres"),
    "axle_pairing": _("front against rear"),
    "tyre_speed": _("the label for the snow tyres' speed"),
    "clamp_load": _("the tightening torque"),
}


NAMES = {
    "bolt_circle": _("Bolt circle"),
    "centre_bore": _("Centre bore"),
    "spigot_engagement": _("Spigot engagement"),
    "spacer_kind": _("Kind of spacer"),
    "seat": _("Seat"),
    "fastener_length": _("Fastener length"),
    "thread_engagement": _("Thread engagement"),
    "fastener_protrusion": _("Fastener behind the hub"),
    "brake_clearance": _("Room for the brake"),
    "inboard_clearance": _("Room beside the strut"),
    "outboard_position": _("Stand in the arch"),
    "wheel_cover": _("Cover of the wheel"),
    "lock_sweep": _("Room at full lock"),
    "axle_pairing": _("Front against rear"),
    "arch_diameter": _("Room in the arch"),
    "tyre_rim_width": _("Tyre on the rim"),
    "tyre_load": _("Load of the tyres"),
    "tyre_speed": _("Speed of the tyres"),
    "wheel_load": _("Load of the wheel"),
    "speedometer": _("Speedometer"),
    "track_change": _("Change of track"),
    "bearing_moment": _("Moment about the bearing"),
    "clamp_load": _("Clamp load"),
    "tyre_pressure": _("Tyre pressure"),
    "twin_spacing": _("Twin-tyre spacing"),
}
INPUTS = {
    "axle.arch_diameter_mm": _("room in the arch"),
    "axle.arch_lip_mm": _("arch lip"),
    "axle.axle_load_kg": _("axle load"),
    "axle.bolt_circle_mm": _("bolt circle of the hub"),
    "axle.bolt_count": _("number of bolts"),
    "axle.brake_envelope_mm": _("outline of the brake"),
    "axle.fastener": _("bolt or nut"),
    "axle.free_depth_behind_hub_mm": _("free depth behind the hub"),
    "axle.hub_thread_mm": _("length of the hub’s thread"),
    "axle.max_speed_kmh": _("top speed"),
    "axle.original_seat_thickness_mm": _("seat thickness of the original wheel"),
    "axle.original_shank_mm": _("shank of the original bolts"),
    "axle.original_track_mm": _("original track"),
    "axle.original_tyre": _("original tyre"),
    "axle.original_wheel.offset_mm": _("offset of the original wheel"),
    "axle.original_wheel.width_in": _("width of the original wheel"),
    "axle.property_class": _("property class of the studs"),
    "axle.spigot_diameter_mm": _("diameter of the hub’s spigot"),
    "axle.spigot_height_mm": _("height of the hub’s spigot"),
    "axle.strut_face_mm": _("place of the strut"),
    "axle.stud_length_mm": _("length of the studs"),
    "axle.thread": _("thread"),
    "axle.torque_nm": _("tightening torque"),
    "fastener.property_class": _("property class of the fastener"),
    "fastener.seat": _("seat of the fastener"),
    "fastener.shank_mm": _("shank of the fastener"),
    "fastener.thread": _("thread of the fastener"),
    "spacer.bore_mm": _("bore of the spacer"),
    "spacer.hub_seat_thickness_mm": _("seat thickness of the spacer at the hub"),
    "spacer.material": _("material of the spacer"),
    "spacer.kind": _("kind of spacer"),
    "spacer.spigot_diameter_mm": _("diameter of the spacer’s own spigot"),
    "spacer.spigot_height_mm": _("spigot of the spacer"),
    "spacer.stud_length_mm": _("studs of the spacer"),
    "tyre.dual_load_index": _("load index of the tyre for twin fitment"),
    "tyre.overall_diameter_mm": _("overall diameter of the tyre"),
    "tyre.section_width_mm": _("section width of the tyre"),
    "tyre.load_index": _("load index of the tyre"),
    "tyre.rim_max_in": _("widest rim of the tyre"),
    "tyre.rim_min_in": _("narrowest rim of the tyre"),
    "tyre.speed_symbol": _("speed symbol of the tyre"),
    "vehicle.drive": _("driven axles"),
    "vehicle.axle_ratio_limit_pct": _("limit between front and rear circumference"),
    "vehicle.front.tyre": _("front tyre"),
    "vehicle.front.original_tyre": _("original front tyre"),
    "vehicle.front.tyre.overall_diameter_mm": _("overall diameter of the front tyre"),
    "vehicle.front.original_tyre.overall_diameter_mm": _("overall diameter of the original front tyre"),
    "vehicle.rear.tyre": _("rear tyre"),
    "vehicle.rear.original_tyre": _("original rear tyre"),
    "vehicle.rear.tyre.overall_diameter_mm": _("overall diameter of the rear tyre"),
    "vehicle.rear.original_tyre.overall_diameter_mm": _("overall diameter of the original rear tyre"),
    "wheel.bolt_circle_mm": _("bolt circle of the wheel"),
    "wheel.bolt_count": _("number of holes in the wheel"),
    "wheel.bore_mm": _("centre bore of the wheel"),
    "wheel.diameter_in": _("diameter of the wheel"),
    "wheel.inside_profile_mm": _("inside of the wheel"),
    "wheel.load_rating_kg": _("load rating of the wheel"),
    "wheel.offset_mm": _("offset of the wheel"),
    "wheel.seat": _("seat of the wheel"),
    "wheel.seat_thickness_mm": _("seat thickness of the wheel"),
    "wheel.width_in": _("width of the wheel"),
}
QUANTITIES = {"m": _("m"), "l": _("l"), "g": _("g"), "each": "×", "h": _("h")}
BODIES = {
    "van": _("van"),
    "passenger van": _("passenger van"),
    "pickup": _("pickup"),
    "car": _("car"),
    "motorcycle": _("motorcycle"),
}
# Documents that anyone can look up.
DOCUMENT = re.compile(r"UN (?:Regulation No\. ?(\d+)|R(\d+))|ISO \d+(?:-\d+)?(?::\d{4})?|\(EU\) \d{4}/\d+")


def tone(verdict: str) -> str:
    """Return the style sheet's word for a verdict: ok, warn, stop or info."""
    return TONES.get(verdict, "info")


def word(kind: str, code: str) -> str:
    """Return a code in the reader's language; ``kind`` is the last word of its figure's key."""
    if kind == "seat":
        return seat(code)
    if kind == "check":
        return name_of_check(code)
    if kind == "field":
        return str(INPUTS.get(code, code))
    if kind == "verdict":
        return gettext(SENTENCES[code]) if code in SENTENCES else code
    words: Mapping[str, str] | None = CODES.get(kind)
    return gettext(words[code]) if words and code in words else code


def seat(code: str) -> str:
    """Return a seat such as ``cone60`` as a fitter calls it."""
    match = SEAT.fullmatch(code)
    form = SEATS.get(match[1] if match else code)
    return str(form).format(size=match[2] if match else "") if form else code


def name_of_check(check: str) -> str:
    """Return a check's name for tables and headings."""
    return str(NAMES.get(check) or check.replace("_", " ").capitalize())


def stage(code: str) -> str:
    """Return a stage of work."""
    return str(STAGES.get(code, code))


def place(code: str) -> str:
    """Return the place of a step of work."""
    return str(PLACES.get(code, code))


def body(style: str, category: str) -> str:
    """Return what kind of vehicle it is; a van of category M carries people."""
    return str(BODIES["passenger van" if style == "van" and category.startswith("M") else style])


def source(text: str) -> str:
    """Return a check's source for staff: as it is written in English, in short in any other language."""
    if (get_language() or "").startswith("en"):
        return text
    practice = gettext("common practice, no source") if "common practice" in text else ""
    return "; ".join(filter(None, (published(text), practice)))


def published(source: str) -> str:
    """Return the published documents that a source names, by their numbers; the rest is for staff."""
    found = (f"UN R{one[1] or one[2]}" if one[1] or one[2] else one[0] for one in DOCUMENT.finditer(source))
    return ", ".join(dict.fromkeys(found))


def for_customers(checks: Iterable[FitRow]) -> list[FitRow]:
    """Return the checks that speak of this build; what does not apply is for the workshop."""
    return [row for row in checks if getattr(row.message, "id", "") != "row.not_applicable"]
