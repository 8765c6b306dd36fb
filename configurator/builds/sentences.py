"""Every sentence that a build can say, in English, by id; pages word them in their reader's language.

The German of each stands in ``configurator/locale`` under the English text, as for any other message. A
sentence once sent is frozen with its id, so an id is never given another meaning.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from configurator.pictures.refusals import REFUSALS
from configurator.words import Said, compose

SENTENCES: dict[str, str] = {
    # verdicts
    "fits": "fits",
    "measure": "we measure first",
    "unknown": "not known yet",
    "no": "does not fit",
    "note": "note",
    # places and parts
    "front": "front",
    "rear": "rear",
    "front_axle": "front axle",
    "rear_axle": "rear axle",
    "part_at": "{part}, {place}",
    "part_in_finish": "{part} in {finish}",
    "taken_off": "Taken off: {part}",
    "vehicle_name": "{maker} {generation}",
    "vehicle_in_colour": "{vehicle} in {colour}",
    "book_in_and_close": "Book-in, wash and final check",
    "every_job": "Every job",
    "original_front_wheel": "the original front wheels",
    "original_front_tyre": "the original front tyres",
    "original_rear_wheel": "the original rear wheels",
    "original_rear_tyre": "the original rear tyres",
    "no_front_spacer": "no front spacers",
    "no_rear_spacer": "no rear spacers",
    "no_spacer": "No spacer",
    "original_wheel": "The original wheels",
    "original_tyre": "The original tyres",
    # why a part is on the list
    "chosen_front_wheel": "wheels chosen for the front axle",
    "chosen_front_tyre": "tyres chosen for the front axle",
    "chosen_front_spacer": "spacers chosen for the front axle",
    "chosen_rear_wheel": "wheels chosen for the rear axle",
    "chosen_rear_tyre": "tyres chosen for the rear axle",
    "chosen_rear_spacer": "spacers chosen for the rear axle",
    "chosen": "{part} chosen",
    "shank_sum": "{shank_mm} shank: {original_mm} original and the {spacer_mm} spacer",
    "to_the_wheel": "to the new wheel's seat, length and finish",
    "locking_each": "one locking piece on each new wheel",
    "ring_fills_spacer": "fills the spacer's {outer_mm} bore to the hub's {inner_mm}",
    "ring_fills": "fills the wheel's {outer_mm} bore to the hub's {inner_mm}",
    "coat": "{coat} coat: {system}",
    "coat_colour": "{coat} coat: {system}, {finish}",
    "coat_item": "{part}, {finish}",
    "used_for": "used for: {recipe}",
    "with_the_job": "with the job",
    "booth": "booth",
    "workshop": "workshop",
    "prime": "prime",
    "colour": "colour",
    "lacquer": "lacquer",
    # what the rules say
    "only_one_of": "Only one of these can be chosen: {names}.",
    "leave_out": "Leave out: {names}.",
    "take": "Take: {names}.",
    "have_taken_off": "Have taken off: {names}.",
    # deposit
    "all_bespoke": "everything in it is made or ordered for you and cannot be sent back",
    "bespoke_parts": "the parts that cannot be sent back",
    "share_of_total": "{share_pct:2} of the total",
    "deposit_as_agreed": "as agreed for this job",
    "nothing_in_advance": "nothing is asked for in advance",
    # free lines
    "take_wheels_off": "Take the wheels off",
    "wheels_to_torque": "Wheels on, tightened crosswise with a torque wrench",
    # tyres that follow wheels
    "tyres_now": "Tyres now: {tyre}.",
    "tyres_back": "Back to the tyres it came with.",
    # colours
    "hardly_on_body": "{accent} hardly shows against {body}.",
    "hardly_on_wheels": "{accent} hardly shows against wheels in {finish}.",
    # problems with what was chosen
    "unknown_vehicle": "We do not know this vehicle. Choose one from the list.",
    "no_such_colour": "{vehicle} does not come in this colour. Choose from the list.",
    "no_such_accent": "This is not one of our accent colours. Choose from the palette.",
    "no_front_axle": "We have no figures for the front axle of {vehicle}.",
    "no_rear_axle": "We have no figures for the rear axle of {vehicle}.",
    "takes_no_spacers": "{vehicle} takes no spacers.",
    "unknown_wheel": "We do not have this wheel. Choose one from the list.",
    "unknown_tyre": "We do not have this tyre. Choose one from the list.",
    "unknown_spacer": "We do not have this spacer. Choose one from the list.",
    "other_vehicle_class": "{part} is made for another kind of vehicle.",
    "unknown_option": "We do not know the option “{code}”.",
    "not_made_for": "“{part}” is not made for {vehicle}.",
    "not_in_finish": "“{part}” cannot be had in this finish.",
    "needs_body_colour": "Choose your vehicle's colour: “{part}” is painted to match.",
    "needs_accent": "Choose the accent colour for “{part}”.",
    "body_by_code": "colour code {code}",
    "body_code_to_read": "another colour, code still to be read",
    "paint_by_code": "colour code {code}, to be matched",
    "paint_to_match": "the vehicle's own colour, to be matched",
    "body_matched": "Your vehicle's colour, matched and sampled",
    "mixed_colour": "a colour mixed to {colour}",
    "colour_to_settle": "a colour to settle with you (near {finish})",
    "colour_mixed_for_you": "Your own colour, mixed and sampled",
    "wished_nearest": "Own colour wished: {colour}; the nearest paint is taken, {finish}",
    "wished_mixed": "Own colour wished: {colour}; mixed for this job",
    "wished_decide": "Own colour wished: {colour}; to be decided together, {finish}",
    "finish_of_nothing": "A finish is given for something that is not chosen.",
    # what is new since the price was last shown
    "price_was": "The price was {before_money} and is now {now_money}.",
    "days_were": "It took {before_count} days and now takes {now_count}.",
    "fit_was": "The fit was “{before}” and is now “{now}”.",
    "part_gone": "No longer on the parts list: {part}.",
    "part_new": "New on the parts list: {part}.",
    # two builds side by side
    "vehicle": "Vehicle",
    "body_colour": "Body colour",
    "accent_colour": "Accent colour",
    "front_wheels": "Front wheels",
    "front_tyres": "Front tyres",
    "front_spacers": "Front spacers",
    "rear_wheels": "Rear wheels",
    "rear_tyres": "Rear tyres",
    "rear_spacers": "Rear spacers",
    # what the owner should know
    "owner_wheels": (
        "Wheel fasteners are tightened crosswise with a torque wrench to the vehicle maker's figure. Have"
        " them checked again after 50 to 100 km, and stop if you hear or feel anything unusual at a wheel."
    ),
    "owner_wheels_motorcycle": (
        "The wheels have been out: before you ride off, pump the brake lever and pedal until they are firm."
        " Have the axle checked with a torque wrench again after 50 to 100 km."
    ),
    "owner_pressure_sensors": (
        "Tyre-pressure sensors may have to be fitted, taught in or reset with new wheels or tyres. Tell us if"
        " the warning lamp stays on."
    ),
    "owner_brakes": (
        "Painted calipers: a qualified person checks the brakes before the vehicle moves. Brake gently on the"
        " first kilometres, and stop if the pedal goes soft or something grinds."
    ),
    "owner_bonding": (
        "Bonded parts hold in full only when the adhesive has hardened: until the day we name no washing, no"
        " fast driving and nothing hung on them."
    ),
    "owner_paint": ("Fresh paint: no car wash with brushes, no polish and no stickers for four weeks."),
    "owner_driver_assistance": (
        "Cameras, radar and parking sensors behind bumper and grille may need calibrating after the work. Do"
        " not rely on an assistance system that shows a fault."
    ),
    # what the bench must heed over the whole job
    "bench_motorcycle": (
        "Motorcycle on a stand that holds it by the frame or swing arm, strapped; axles, pinch bolts and"
        " calipers to the vehicle maker's figures; pump lever and pedal until firm before it moves."
    ),
    "bench_ignition": (
        "Solvents and their vapours catch fire: no flame, spark or hot surface near, extraction running,"
        " rags in the closed bin."
    ),
    "bench_diisocyanates": (
        "Two-pack products with diisocyanates: only people trained for them, with the protection that the"
        " safety data sheet asks for."
    ),
    "bench_airbags": (
        "Airbags, belt tensioners and their wiring: only trained people, battery off and the waiting time of"
        " the vehicle maker kept."
    ),
    "bench_high_voltage": (
        "Is it a high-voltage vehicle? Then only qualified people work on it, switched off and secured"
        " against switching on; mind the limits for heat in booth and oven."
    ),
    # why a photo cannot be used
    **REFUSALS,
    # one build carried over to another vehicle
    "carried_not": "{part} does not go with this vehicle and was left out.",
    "carried_other": "In place of {part} there is {other}.",
    # vehicle identification numbers
    "vin_length": "A VIN has {wanted_count} characters; this one has {given_count}.",
    "vin_letters": "A VIN never holds {letters}: check 0 against O and 1 against I.",
    "vin_digit": (
        "The check digit (9th character) does not match, as it must for a vehicle from North America. "
        "Please compare it with your papers."
    ),
}


def say(name: str, /, **figures: Any) -> Said:
    """Return one of the build's sentences in English, with its figures kept for the border."""
    return compose(SENTENCES, name, **figures) if figures else _plain(name)


@cache
def _plain(name: str) -> Said:
    return compose(SENTENCES, name)
