"""English of the codes that figures hold: positions, verdicts, checks, and the inputs a check may lack."""

from types import MappingProxyType

from .names import split_seat

_CHECKS = {
    "bolt_circle": "bolt circle",
    "centre_bore": "centre bore",
    "spigot_engagement": "centring on the spigot",
    "spacer_kind": "thickness of the spacer",
    "seat": "seat of the fasteners",
    "fastener_length": "length of the fasteners",
    "thread_engagement": "thread engaged",
    "fastener_protrusion": "room behind the hub",
    "brake_clearance": "room for the brake",
    "inboard_clearance": "room beside the suspension",
    "outboard_position": "position in the arch",
    "wheel_cover": "cover of the tyre",
    "lock_sweep": "room at full lock",
    "twin_spacing": "room between the twin tyres",
    "arch_diameter": "height in the arch",
    "tyre_rim_width": "tyre on the rim",
    "tyre_load": "load on the tyres",
    "tyre_speed": "speed of the tyres",
    "wheel_load": "load on the wheel",
    "speedometer": "speedometer",
    "track_change": "track",
    "bearing_moment": "moment about the bearing",
    "clamp_load": "clamp load of the fasteners",
    "axle_pairing": "front against rear circumference",
}
_FIELDS = {
    "axle.bolt_count": "the hub's number of holes",
    "axle.bolt_circle_mm": "the hub's bolt circle",
    "axle.spigot_diameter_mm": "the diameter of the hub's spigot",
    "axle.spigot_height_mm": "the height of the hub's spigot",
    "axle.fastener": "whether the hub takes bolts or nuts",
    "axle.thread": "the hub's thread",
    "axle.property_class": "the property class of the original fasteners",
    "axle.original_shank_mm": "the shank of the original bolts",
    "axle.original_seat_thickness_mm": "the original wheel's metal under the bolts",
    "axle.hub_thread_mm": "the depth of the hub's thread",
    "axle.free_depth_behind_hub_mm": "the free depth behind the hub",
    "axle.stud_length_mm": "the length of the studs",
    "axle.axle_load_kg": "the axle load",
    "axle.max_speed_kmh": "the vehicle's top speed",
    "axle.original_track_mm": "the original track",
    "axle.original_wheel.width_in": "the original wheel's width",
    "axle.original_wheel.offset_mm": "the original wheel's offset",
    "axle.original_tyre": "the original tyre",
    "axle.arch_lip_mm": "where the arch's edge stands",
    "axle.strut_face_mm": "where the strut stands",
    "axle.arch_diameter_mm": "the room in the arch",
    "axle.brake_envelope_mm": "the brake's outline",
    "axle.torque_nm": "the tightening torque",
    "wheel.width_in": "the wheel's width",
    "wheel.diameter_in": "the wheel's diameter",
    "wheel.offset_mm": "the wheel's offset",
    "wheel.bolt_count": "the wheel's number of holes",
    "wheel.bolt_circle_mm": "the wheel's bolt circle",
    "wheel.bore_mm": "the wheel's centre bore",
    "wheel.seat": "the wheel's bolt seat",
    "wheel.seat_thickness_mm": "the wheel's metal under the bolts",
    "wheel.load_rating_kg": "the wheel's load rating",
    "wheel.inside_profile_mm": "the wheel's inside",
    "tyre.load_index": "the tyre's load index",
    "tyre.dual_load_index": "the tyre's load index for twin fitment",
    "tyre.speed_symbol": "the tyre's speed symbol",
    "tyre.rim_min_in": "the narrowest rim the tyre may go on",
    "tyre.rim_max_in": "the widest rim the tyre may go on",
    "tyre.section_width_mm": "the tyre's section width",
    "tyre.overall_diameter_mm": "the tyre's overall diameter",
    "spacer.kind": "whether the spacer slips on or is bolted on",
    "spacer.bore_mm": "the spacer's bore",
    "spacer.spigot_height_mm": "the height of the spacer's own spigot",
    "spacer.spigot_diameter_mm": "the diameter of the spacer's own spigot",
    "spacer.stud_length_mm": "the length of the spacer's studs",
    "spacer.material": "what the spacer's thread is cut in",
    "spacer.hub_seat_thickness_mm": "the spacer's metal under the hub's bolts",
    "fastener.shank_mm": "the fastener's shank",
    "fastener.seat": "the fastener's seat",
    "fastener.thread": "the fastener's thread",
    "fastener.property_class": "the fastener's property class",
    "vehicle.drive": "which axles are driven",
    "vehicle.axle_ratio_limit_pct": "how far the axles may differ",
    "vehicle.front.tyre": "the front tyre",
    "vehicle.front.original_tyre": "the original front tyre",
    "vehicle.front.tyre.overall_diameter_mm": "the front tyre's overall diameter",
    "vehicle.front.original_tyre.overall_diameter_mm": "the original front tyre's overall diameter",
    "vehicle.rear.tyre": "the rear tyre",
    "vehicle.rear.original_tyre": "the original rear tyre",
    "vehicle.rear.tyre.overall_diameter_mm": "the rear tyre's overall diameter",
    "vehicle.rear.original_tyre.overall_diameter_mm": "the original rear tyre's overall diameter",
}
CODES = MappingProxyType(
    {
        "position": MappingProxyType({"front": "Front", "rear": "Rear"}),
        "outcome": MappingProxyType(
            {
                "fits": "it fits",
                "measure": "measure on the vehicle",
                "no": "it does not fit",
                "unknown": "not decided, data is missing",
            }
        ),
        "verdict": MappingProxyType({"no": "does not fit"}),
    }
)
"""English of codes by the last word of their key; what is not here is shown as it is."""

_WORDS = {**CODES, "check": _CHECKS, "field": _FIELDS}


def word(kind: str, code: str) -> str:
    """Return a code in English; a seat as its angle or radius."""
    if kind == "seat":
        return _seat(code)
    return _WORDS[kind].get(code, code) if kind in _WORDS else code


def _seat(code: str) -> str:
    shape, size = split_seat(code)
    if shape == "cone":
        return f"a {size:g}° cone"
    return f"a ball of {size:g} mm radius" if shape == "ball" else "a flat seat"
