"""Where each check's rule comes from: document, clause or table, edition; else marked as practice.

`source_of` names it for one fit: UN R30 for a car's tyre, R54 for a commercial one, R75 for a motorcycle's.
No primary UN text was at hand: clauses are from memory, and what they say was checked against published
excerpts and tables where `tests/fitment` names one. A clause guides a fitter; it is no legal advice.
"""

PRACTICE = "common practice, no source"
_GEOMETRY = "geometry"
_FLANGE = "ISO 4000-2:2021 (rim flange, contour J)"
_ISO_898 = "ISO 898-1:2013, tables 4 to 7 (proof loads)"
_SHIGLEY = "Shigley, Mechanical Engineering Design, 9th ed., eq. 8-27 (T = K d F)"

_REGULATIONS = {
    "car": "UN Regulation No. 30, 02 series of amendments",
    "commercial": "UN Regulation No. 54, 00 series of amendments",
    "motorcycle": "UN Regulation No. 75, 00 series of amendments",
}
# Clauses by check: dimensions, load and speed have the same numbers in all three regulations.
_TYRE_CLAUSES = {
    "inboard_clearance": "6.1.1 (section width) and 6.1.4 (lawful growth)",
    "outboard_position": "6.1.1 (section width) and 6.1.4 (lawful growth)",
    "lock_sweep": "6.1.1, 6.1.2 and 6.1.4 (dimensions and lawful growth)",
    "twin_spacing": "6.1.1 (section width) and 6.1.4 (lawful growth)",
    "arch_diameter": "6.1.2 (overall diameter) and 6.1.5 (lawful growth)",
    "tyre_rim_width": "annex 5 (measuring rim)",
    "tyre_load": "annex 4 (load index)",
    "tyre_speed": "speed symbols, chapter 2",
    "axle_pairing": "6.1.2 (overall diameter)",
}
_LOAD_AT_SPEED = {"car": ", 2.31 (load above 210 km/h)", "motorcycle": ", annex 8 (load at speed)"}
_GUARDS = (
    "Implementing Regulation (EU) 2021/535, annex on wheel guards, under Regulation (EU) 2019/2144 (before:"
    " Regulation (EU) No 1009/2010, annex II, repealed): type approval of M1 vehicles; for others, and for"
    " vehicles in use, local codes rule"
)
_CHECKS = {
    "bolt_circle": f"{_GEOMETRY}; 0.1 mm {PRACTICE}",
    "centre_bore": f"{_GEOMETRY}; {PRACTICE}",
    "spigot_engagement": PRACTICE,
    "spacer_kind": f"{_GEOMETRY}; least and most thickness {PRACTICE}",
    "seat": _GEOMETRY,
    "fastener_length": _GEOMETRY,
    "thread_engagement": f"{_GEOMETRY}, ISO 724:1993; least turns, and 1.5 d in aluminium, {PRACTICE}",
    "fastener_protrusion": _GEOMETRY,
    "brake_clearance": f"{_GEOMETRY}; 3 mm, and 4 mm for what is fitted inside, {PRACTICE}",
    "inboard_clearance": f"{_GEOMETRY}; {_FLANGE}; 5 mm, steered 8 mm, {PRACTICE}",
    "outboard_position": f"{_GEOMETRY}; {_FLANGE}",
    "wheel_cover": _GUARDS,
    "lock_sweep": f"{_GEOMETRY}; 8 mm {PRACTICE}",
    "twin_spacing": f"{_GEOMETRY}; 12.5 per cent of the width {PRACTICE}",
    "arch_diameter": _GEOMETRY,
    "tyre_rim_width": (
        "ISO 4000-1:2021; permitted range as tyre makers print it after the ETRTO Standards Manual"
    ),
    "tyre_speed": (
        "snow tyres below the vehicle's speed: UN Regulation No. 142, 00 series of amendments (label in the"
        " driver's view)"
    ),
    "wheel_load": "the wheel maker's rating",
    "speedometer": "UN Regulation No. 39, 01 series of amendments, 5.2.5 and 5.3 (categories L, M and N)",
    "track_change": f"{PRACTICE}; local codes rule",
    "bearing_moment": "mechanics: load times distance",
    "clamp_load": (
        f"{_ISO_898}; {_SHIGLEY}, K scatters by 25 per cent; least 30 per cent of the proof load {PRACTICE}"
    ),
    "axle_pairing": f"limit of the vehicle's drive: {PRACTICE}",
}


def source_of(check_id: str, tyre_kind: str) -> str:
    """Return the source of a check for a kind of tyre: car, commercial or motorcycle."""
    parts = [_CHECKS[check_id]] if check_id in _CHECKS else []
    if clauses := _TYRE_CLAUSES.get(check_id):
        more = _LOAD_AT_SPEED.get(tyre_kind, "") if check_id == "tyre_load" else ""
        parts.insert(0, f"{_REGULATIONS[tyre_kind]}, {clauses}{more}")
    return "; ".join(parts)
