"""The stable names of what can be seen in a picture; catalogue rows name them in ``picture_part``.

A name is in one or more groups:

``coloured``
    has a colour of its own that a look may change by ``part_hex``;
``fitted``
    is drawn only when the look's ``fitted`` names it;
``removable``
    is on the vehicle as delivered and vanishes when the look's ``removed`` names it.

Not every body has every part: `Body.parts` tells which a body can show.
"""

from __future__ import annotations

VIEWS = ("side", "front", "rear")

COLOURED = {
    "body": "all painted body panels",
    "roof": "roof skin",
    "bonnet": "bonnet",
    "front_bumper": "front bumper",
    "rear_bumper": "rear bumper",
    "grille": "slats or mesh of the grille",
    "grille_frame": "frame round the grille",
    "mirror_caps": "caps of the door mirrors",
    "door_handles": "door handles",
    "mouldings": "rubbing strips along the doors",
    "window_trim": "trim strips along the side windows",
    "arch_trim": "plastic lips round the wheel arches",
    "sill_trim": "plastic along the sills",
    "lower_trim": "plastic below the bumpers",
    "badge_front": "maker's badge on the front",
    "badge_rear": "maker's badge on the rear",
    "lettering_rear": "model name on the rear",
    "lettering_side": "model name on the side",
    "roof_rails": "rails along the roof",
    "rear_strip": "trim strip across the tailgate",
    "wheel_front": "front wheels",
    "wheel_rear": "rear wheels",
    "wheel_caps": "caps in the middle of the wheels",
    "tow_eye_cover": "cover of the towing eye in the front bumper",
    "mud_flaps": "flaps behind the wheels",
    "caliper_front": "front brake calipers",
    "caliper_rear": "rear brake calipers",
    "tank": "motorcycle's tank",
    "tank_side": "covers beside the tank",
    "tail": "motorcycle's tail",
    "lamp_cowl": "cowl round the headlamp",
    "mudguard_front": "front mudguard",
    "frame": "motorcycle's frame",
    "swingarm": "swinging arm",
    "fork": "fork tubes",
    "engine_covers": "engine covers",
}

FITTED = {
    "splitter": "splitter under the front bumper",
    "bumper_sport": "deeper front bumper of the sport trim",
    "roof_spoiler": "spoiler at the rear edge of the roof",
    "tailgate_spoiler": "lip on the tailgate",
    "side_skirts": "skirts along the sills",
    "rear_diffuser": "diffuser under the rear bumper",
    "arch_flares": "widened wheel arches",
    "grille_sport": "sports grille in place of the original",
    "bonnet_scoop": "scoop on the bonnet",
    "light_bar": "light bar on the roof",
    "side_bars": "tubes along the sills",
    "sports_bar": "hoop behind the cab",
    "bed_cover": "cover over the load bed",
    "roof_rack": "rack on the roof",
    "rear_step": "step under the rear bumper",
    "wind_deflectors": "deflectors along the side windows",
    "side_strips": "stripes along the side",
    "window_tint": "darkened rear windows",
    "exhaust_tips": "exhaust tips",
    "rear_lip": "lip under the rear window",
    "fly_screen": "small screen over the headlamp",
    "belly_pan": "panel under the engine",
    "seat_cowl": "cowl in place of the pillion seat",
    "radiator_guard": "guard before the radiator",
    "hugger": "mudguard close over the rear wheel",
    "fork_guards": "guards before the fork tubes",
    "crash_bobbins": "bobbins at the engine's sides",
    "bar_end_mirrors": "mirrors at the handlebar's ends",
    "rim_stripe": "thin stripe round the rims",
}

REMOVABLE = {
    "badge_front": "maker's badge on the front",
    "badge_rear": "maker's badge on the rear",
    "lettering_rear": "model name on the rear",
    "lettering_side": "model name on the side",
    "mouldings": "rubbing strips along the doors",
    "roof_rails": "rails along the roof",
    "rear_strip": "trim strip across the tailgate",
    "aerial": "aerial on the roof",
    "rear_wiper": "rear wiper",
    "tow_bar": "tow bar",
    "mud_flaps": "flaps behind the wheels",
    "centre_stand": "motorcycle's centre stand",
    "pillion_pegs": "pillion's footrests",
    "reflectors": "side reflectors",
    "plate_holder": "number-plate holder behind the tail",
    "pillion_seat": "pillion seat",
    "mirrors": "motorcycle's stalk mirrors",
}

#: Everything that a catalogue row may name.
PARTS = frozenset(COLOURED) | frozenset(FITTED) | frozenset(REMOVABLE)
