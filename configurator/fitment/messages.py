"""What fitment says, as values: every message has an id, figures and an English template.

The contract, for whoever words messages in another language or in other units:

- A message is an id of `TEMPLATES` and a plain dict of figures. A finding is one message or several, said
  one after the other: `message_id` and `figures` are the first, `also` lists the rest in the same form. What
  is called `message` (or `text`, `headline`, `reason`) is all of them in English, parted by spaces.
- Ids are stable; English may change under them. Translate by id, and keep the placeholders' names.
- The last word of a figure's key tells what it is. A number has its unit there: `_mm`, `_in` (nominal inches
  of rims, never converted), `_kg`, `_kn` (kN), `_nm` (N m), `_kmh`, `_pct` (per cent), `_deg`, `_bar`;
  `_count`, `_turns` and `_factor` are bare numbers. A list of numbers is a sum to be shown as one: [27, 15]
  is `27 + 15`, and [27, 15, -3] `27 + 15 − 3`.
- A text is a code: `seat` (`cone60`), `thread`, `tyre` (a designation, shown as it is), `position`,
  `verdict` (of a row), `outcome` (the verdict on the whole), `check` and `field` are worded by whoever shows
  them (`CODES` has the English); `checks` and `fields` are lists of such codes.
- A placeholder is `{key}` or `{key:spec}`. The unit belongs to the figure, so that lengths may be shown in
  inches: `{gap_mm}` is `4.8 mm`. In the spec a digit gives the most decimals (1 if none is given; no zeros
  are added), `+` asks for the sign of what grows, `#` for the number without its unit.

`said.fill` fills a template, whatever its language, with figures written by a function of the caller's;
`said.english` is the default.
"""

from types import MappingProxyType

from .codes import CODES

__all__ = ["CODES", "TEMPLATES", "UNITS"]

_CHECKS = {
    "row.not_applicable": "Does not apply to this axle.",
    "row.missing": "Not known: {fields}. Measure it or look it up, then check again.",
    "row.spare": (
        "Only {spare_mm} to spare against a tolerance of {tolerance_mm}: measure on the vehicle before"
        " ordering."
    ),
    "row.wider": "A tyre may lawfully be made up to {wider_mm} wider per side.",
    "bolt_circle.holes": "{hole_count} holes against {wanted_count}: this wheel cannot be bolted on.",
    "bolt_circle.fits": "Hole count agrees, bolt circle {circle_mm:2} on {wanted_mm:2}.",
    "bolt_circle.no": (
        "Hole count agrees but bolt circle {circle_mm:2} on {wanted_mm:2}: only a bolt-on spacer made for"
        " both would join them."
    ),
    "centre_bore.fits": "Bore {bore_mm:2} on a {spigot_mm:2} spigot: centred by the hub.",
    "centre_bore.ring": (
        "Bore {bore_mm:2} on a {spigot_mm:2} spigot: needs a centring ring {spigot_mm:2#} to {bore_mm:2}."
    ),
    "centre_bore.no": "Bore {bore_mm:2} on a {spigot_mm:2} spigot: it does not go over the spigot.",
    "spigot_engagement.hub": "{left_mm} of the hub's spigot centres the wheel, {wanted_mm} is wanted.",
    "spigot_engagement.spacer": (
        "{left_mm} of the spacer's own spigot centres the wheel, {wanted_mm} is wanted."
    ),
    "spigot_engagement.hub_no": (
        "{left_mm} of the hub's spigot centres the wheel, {wanted_mm} is wanted: take a spacer with its own"
        " spigot."
    ),
    "spigot_engagement.spacer_no": (
        "{left_mm} of the spacer's own spigot centres the wheel, {wanted_mm} is wanted: take a spacer with a"
        " longer one."
    ),
    "spacer_kind.none": "No spacer.",
    "spacer_kind.several": "{spacer_count} spacers on one side: fit one of the whole thickness instead.",
    "spacer_kind.slip_on": "A slip-on spacer of {spacer_mm}; it needs {wanted_mm} here.",
    "spacer_kind.bolt_on": "A bolt-on spacer of {spacer_mm}; it needs {wanted_mm} here.",
    "spacer_kind.slip_on_thick": (
        "A slip-on spacer of {spacer_mm}, {wanted_mm} is the most for one: its long fasteners would bend."
        " Take one that is bolted to the hub."
    ),
    "spacer_kind.bolt_on_thick": "A bolt-on spacer of {spacer_mm}, {wanted_mm} is the most it may be.",
    "spacer_kind.hub_bolts": (
        "The bolts that hold it to the hub are taken to be supplied with it: check that they are there."
    ),
    "spacer_kind.slip_on_no": (
        "A slip-on spacer of {spacer_mm}; it needs {wanted_mm} here: too thin for its kind, or for what"
        " stands out of the hub."
    ),
    "spacer_kind.bolt_on_no": (
        "A bolt-on spacer of {spacer_mm}; it needs {wanted_mm} here: too thin for its kind, or for what"
        " stands out of the hub."
    ),
    "seat.fits": "Wheel and fastener both have {wheel_seat}.",
    "seat.original": (
        "The wheel's seat is {wheel_seat}: the original fasteners ({original_seat}) must not be used."
    ),
    "seat.no": (
        "The wheel's seat is {wheel_seat}, the fastener's {fastener_seat}: get fasteners with {wheel_seat}."
    ),
    "fastener_length.studs": "Studs of {stud_mm}; metal held and least thread take {wanted_mm}.",
    "fastener_length.studs_no": (
        "Studs of {stud_mm}; metal held and least thread take {wanted_mm}: longer studs are needed."
    ),
    "fastener_length.original": "Original length, {shank_mm}.",
    "fastener_length.needed": "This fit needs {wanted_mm} bolts: {sum_mm:#}.",
    "fastener_length.right": "{shank_mm} bolts are right: {sum_mm:#}.",
    "fastener_length.long_near": (
        "{shank_mm} bolts are {off_mm} too long; it needs {wanted_mm} bolts: {sum_mm:#}; as the next stocked"
        " length they will do if thread and free depth agree."
    ),
    "fastener_length.short_near": (
        "{shank_mm} bolts are {off_mm} too short; it needs {wanted_mm} bolts: {sum_mm:#}; as the next stocked"
        " length they will do if thread and free depth agree."
    ),
    "fastener_length.long": "{shank_mm} bolts are {off_mm} too long; it needs {wanted_mm} bolts: {sum_mm:#}.",
    "fastener_length.short": (
        "{shank_mm} bolts are {off_mm} too short; it needs {wanted_mm} bolts: {sum_mm:#}."
    ),
    "thread_engagement.other": (
        "The fastener's thread is {fastener_thread}, the hub's {hub_thread}: never force them."
    ),
    "thread_engagement.fits": (
        "{engaged_mm} ({engaged_turns} turns) of {thread} engaged, {wanted_mm:2} ({wanted_turns} turns)"
        " wanted."
    ),
    "thread_engagement.no": (
        "{engaged_mm} ({engaged_turns} turns) of {thread} engaged, {wanted_mm:2} ({wanted_turns} turns)"
        " wanted: fit longer fasteners."
    ),
    "thread_engagement.soft_fits": (
        "{engaged_mm} ({engaged_turns} turns) of {thread} engaged in the spacer, {wanted_mm:2}"
        " ({wanted_turns} turns) wanted in aluminium."
    ),
    "thread_engagement.soft_no": (
        "{engaged_mm} ({engaged_turns} turns) of {thread} engaged in the spacer, {wanted_mm:2}"
        " ({wanted_turns} turns) wanted in aluminium: longer fasteners, or a spacer with steel inserts."
    ),
    "fastener_protrusion.short": "The bolt ends {short_mm} before the back of the hub's thread.",
    "fastener_protrusion.short_spacer": "The bolt ends {short_mm} before the back of the spacer's thread.",
    "fastener_protrusion.fits": "The bolt stands {out_mm} out behind the hub, {free_mm} is free.",
    "fastener_protrusion.no": (
        "The bolt stands {out_mm} out behind the hub, {free_mm} is free: fit shorter bolts, they would"
        " strike what turns past."
    ),
    "fastener_protrusion.no_spacer": (
        "The bolt stands {out_mm} out behind the spacer, {free_mm} is free: fit shorter bolts, they would"
        " strike what turns past."
    ),
    "brake_clearance.into": "The brake would stand {into_mm} into the wheel: another wheel, or a spacer.",
    "brake_clearance.fits": "{gap_mm} between brake and wheel, {wanted_mm} wanted everywhere.",
    "brake_clearance.no": (
        "{gap_mm} between brake and wheel, {wanted_mm} wanted everywhere: a wheel with more room inside, or"
        " a thicker spacer."
    ),
    "brake_clearance.fitted": (
        "Stick-on weights, a valve or a pressure sensor may take {fitted_mm} of it: look where they stand."
    ),
    "brake_clearance.beyond": (
        "The brake reaches further out than the wheel's inside profile is known: offer up the wheel."
    ),
    "inboard_clearance.fits": "{gap_mm} between tyre or rim and the suspension, {wanted_mm} wanted.",
    "inboard_clearance.no": (
        "{gap_mm} between tyre or rim and the suspension, {wanted_mm} wanted: less offset, a thicker spacer"
        " or a narrower tyre."
    ),
    "outboard_position.tyre": "The tyre's outer face stands {face_mm} out, {allowed_mm} is allowed.",
    "outboard_position.rim": (
        "The rim's outer flange ({flange_mm} past its width) stands {face_mm} out, {allowed_mm} is allowed."
    ),
    "outboard_position.tyre_no": (
        "The tyre's outer face stands {face_mm} out, {allowed_mm} is allowed: more offset, a thinner spacer"
        " or a narrower tyre."
    ),
    "outboard_position.rim_no": (
        "The rim's outer flange ({flange_mm} past its width) stands {face_mm} out, {allowed_mm} is allowed:"
        " more offset, a thinner spacer or a narrower tyre."
    ),
    "wheel_cover.angle": "The arch covers {cover_deg:#} degrees of {wanted_deg:#}: fit arch extensions.",
    "wheel_cover.fits": "The tyre is covered with {spare_mm} to spare.",
    "wheel_cover.no": "{uncovered_mm} of tyre uncovered: fit arch extensions or move the wheel in.",
    "wheel_cover.as_made": "The arch is taken to run over that sector as the vehicle was made.",
    "wheel_cover.codes": "Local codes rule.",
    "wheel_cover.edge": "The arch's rear edge ends {edge_mm} above the wheel's axis, {wanted_mm} at most.",
    "wheel_cover.edge_no": (
        "The arch's rear edge ends {edge_mm} above the wheel's axis, {wanted_mm} at most: fit a longer guard."
    ),
    "lock_sweep.inside": (
        "Steered and sprung, the wheel stays inside the space that the original one sweeps."
    ),
    "lock_sweep.measure": (
        "The wheel reaches {beyond_mm} beyond the space that the original one sweeps: turn it to both locks"
        " at full bump and measure what stays free before ordering."
    ),
    "lock_sweep.fits": (
        "The wheel reaches {beyond_mm} beyond the space that the original one sweeps; at full lock and bump"
        " {free_mm} may be used."
    ),
    "lock_sweep.close": (
        "The wheel reaches {beyond_mm} beyond the space that the original one sweeps; at full lock and bump"
        " {free_mm} may be used, known to {tolerance_mm}: measure on the vehicle before ordering."
    ),
    "lock_sweep.no": (
        "The wheel reaches {beyond_mm} beyond the space that the original one sweeps; at full lock and bump"
        " {free_mm} may be used: it would rub. Less offset change or a smaller tyre."
    ),
    "twin_spacing.fits": "The twin wheels stand {apart_mm} apart, their tyres want {wanted_mm}.",
    "twin_spacing.no": (
        "The twin wheels stand {apart_mm} apart, their tyres want {wanted_mm}: narrower tyres or more offset."
    ),
    "arch_diameter.fits": "Overall diameter {diameter_mm} in an arch for {arch_mm}.",
    "arch_diameter.no": (
        "Overall diameter {diameter_mm} in an arch for {arch_mm}: a tyre of less height or a smaller rim."
    ),
    "tyre_rim_width.diameter": "A {tyre_in:#} inch tyre does not go on a {rim_in:#} inch wheel.",
    "tyre_rim_width.fits": (
        "The tyre may go on rims of {narrowest_in:#} to {widest_in:#} inches, this one has {rim_in:#}."
    ),
    "tyre_rim_width.narrow": (
        "The tyre may go on rims from {limit_in:#} inches, this one has {rim_in:#}: another size of tyre for"
        " this wheel."
    ),
    "tyre_rim_width.wide": (
        "The tyre may go on rims up to {limit_in:#} inches, this one has {rim_in:#}: another size of tyre for"
        " this wheel."
    ),
    "tyre_load.fits": "The axle's tyres carry {capacity_kg}, the axle {load_kg}.",
    "tyre_load.no": (
        "The axle's tyres carry {capacity_kg}, the axle {load_kg}: a tyre with a higher load index."
    ),
    "tyre_load.pressure": (
        "For this load and the vehicle's top speed the tyre wants {pressure_bar} or more, cold; the tyre"
        " maker's table rules."
    ),
    "tyre_load.pressure_marked": (
        "For this load the tyre wants {share_pct:0} or more of the pressure that it states for its highest"
        " load, more for fast driving; the tyre maker's table rules."
    ),
    "tyre_speed.snow": (
        "Snow tyre for {tyre_kmh}, vehicle reaches {vehicle_kmh}: allowed with a label in the driver's view"
        " that says {tyre_kmh}, and driven no faster."
    ),
    "tyre_speed.fits": "Tyre for {tyre_kmh}, vehicle reaches {vehicle_kmh}.",
    "tyre_speed.no": (
        "Tyre for {tyre_kmh}, vehicle reaches {vehicle_kmh}: a tyre with a higher speed symbol (H stands"
        " between U and V)."
    ),
    "wheel_load.fits": "{load_kg} on a wheel rated {rating_kg}.",
    "wheel_load.no": "{load_kg} on a wheel rated {rating_kg}: a wheel with a higher rating.",
    "speedometer.fits": (
        "Rolling circumference changes by {change_pct:+}: the speedometer stays within UN R39."
    ),
    "speedometer.measure": (
        "Rolling circumference changes by {change_pct:+}: lawful only if the original read high enough, or"
        " not too high; measure it on the road."
    ),
    "speedometer.no": (
        "Rolling circumference changes by {change_pct:+}: the speedometer would leave UN R39; a tyre nearer"
        " the original's circumference."
    ),
    "track_change.fits": "The track changes by {change_pct:+2}; local codes rule.",
    "track_change.measure": (
        "The track changes by {change_pct:+2}, more than is usual: ask whether the local code wants an"
        " approval before ordering."
    ),
    "track_change.no": (
        "The track changes by {change_pct:+2}, more than {limit_pct:2#}: a thinner spacer or more offset."
    ),
    "track_change.narrower_measure": (
        "The track changes by {change_pct:+2}: narrower makes the vehicle less steady; ask whether the local"
        " code allows it before ordering."
    ),
    "track_change.narrower_no": (
        "The track changes by {change_pct:+2}, narrower by more than {limit_pct:2#}: less offset or a spacer."
    ),
    "bearing_moment.note": "The wheel load's moment about the bearing changes by {change_nm:0}.",
    "bearing_moment.unknown": (
        "The change of moment about the bearing is not known: axle load and original offset are needed."
    ),
    "clamp_load.fits": (
        "{torque_nm} gives about {preload_kn}, {share_pct:0} of the proof load (K = {nut_factor:2}, dry and"
        " clean threads)."
    ),
    "clamp_load.tight_measure": (
        "{torque_nm} gives about {preload_kn}, {share_pct:0} of the proof load (K = {nut_factor:2}): with"
        " slippery threads more than this fastener bears. Clean, dry threads and a torque wrench, or a higher"
        " property class."
    ),
    "clamp_load.tight_no": (
        "{torque_nm} gives about {preload_kn}, {share_pct:0} of the proof load (K = {nut_factor:2}, dry and"
        " clean threads): this fastener would yield; a higher property class is needed."
    ),
    "clamp_load.loose_measure": (
        "{torque_nm} gives about {preload_kn}, {share_pct:0} of the proof load (K = {nut_factor:2}): with dry"
        " threads it may be too little to hold the wheel. Look up the torque again."
    ),
    "clamp_load.loose_no": (
        "{torque_nm} gives about {preload_kn}, {share_pct:0} of the proof load (K = {nut_factor:2}): too"
        " little to hold the wheel; look up the torque."
    ),
    "axle_pairing.fits": (
        "Against each other the axles' rolling circumferences stay within {limit_pct} of the original pairing"
        " ({change_pct:+})."
    ),
    "axle_pairing.measure": (
        "Against each other the axles' rolling circumferences change by {change_pct:+}, {limit_pct} is the"
        " limit: measure all four tyres before ordering."
    ),
    "axle_pairing.no_four": (
        "Against each other the axles' rolling circumferences change by {change_pct:+}, {limit_pct} is the"
        " limit: with four-wheel drive the transmission would wind up. Take tyres of matching size."
    ),
    "axle_pairing.no": (
        "Against each other the axles' rolling circumferences change by {change_pct:+}, {limit_pct} is the"
        " limit: brakes and stability control compare the wheels' speeds. Take tyres of matching size."
    ),
}
_NEEDS = {
    "need.bolts": "needs {shank_mm} bolts: {sum_mm:#}; locking bolts of the same length",
    "need.hub_bolts": "bolts between hub and spacer: supplied with the spacer, check that they are there",
    "need.nuts": "needs nuts with seat {wheel_seat}",
    "need.studs": "needs studs of at least {stud_mm}",
    "need.ring_wheel": "needs centring rings {inner_mm:2#} to {outer_mm:2} in the wheel",
    "need.ring_spacer": "needs centring rings {inner_mm:2#} to {outer_mm:2} in the spacer",
    "need.measure": "settle before ordering:",
    "need.input": "{field} is not known",
}
_SUGGESTIONS = {
    "suggest.spacer": "{spacer_mm} spacer: {left_mm} left to the arch",
    "suggest.no_spacer": "no spacer: {left_mm} left to the arch",
    "suggest.spacer_arch_unknown": "{spacer_mm} spacer: arch not known",
    "suggest.no_spacer_arch_unknown": "no spacer: arch not known",
    "suggest.tyre": "{tyre}: circumference {change_pct:+}",
    "suggest.tyre_unknown": "{tyre}: original circumference not known",
    "mends.spacer": "a {spacer_mm} spacer instead mends {checks}",
    "mends.no_spacer": "no spacer instead mends {checks}",
    "mends.tyre": "tyre {tyre} instead mends {checks}",
    "mends.wheel": "a wheel {width_in:#} x {diameter_in:#} offset {offset_mm:#} instead mends {checks}",
    "mends.wheel_unknown": "another wheel instead mends {checks}",
    "mends.here_only": "(the rest of the build needs a change of its own)",
    "mends.fastener": "a {shank_mm} shank instead mends {checks}",
    "mends.fastener_needed": "the fastener this fit needs instead mends {checks}",
}
_CAUTIONS = {
    "caution.advice": (
        "This verdict is advice to a competent fitter, not a certificate. Offer up wheel and tyre, turn them"
        " by hand through full lock and full travel, and measure before driving."
    ),
    "caution.mating_faces": (
        "Clean hub, spacer and wheel to bare metal. A thin film of copper-based anti-seize on the mating"
        " faces only: never on threads or seats, where it changes what the torque does."
    ),
    "caution.recheck": (
        "Check the tightness of every wheel fastener again after 50 to 100 km, with a torque wrench."
    ),
    "caution.insurer": (
        "Wheels, tyres, spacers and a changed track are modifications: the keeper tells the insurer, and has"
        " them approved or entered where the law asks for it."
    ),
    "caution.track": (
        "The track changes by {change_mm}. Local codes on track and wheel cover rule, whatever is computed"
        " here."
    ),
    "caution.measure": (
        "Some checks could not be decided from the data: measure on the vehicle what they name."
    ),
    "caution.torque": (
        "By hand, then a gun at low torque, then crosswise with a torque wrench to the vehicle maker's figure"
        " ({torque_nm}). Oiled threads would be drawn about {oiled_factor} times as hard by it."
    ),
    "caution.torque_unknown": (
        "By hand, then a gun at low torque, then crosswise with a torque wrench to the vehicle maker's"
        " figure; it is not known here, look it up."
    ),
    "caution.spacer_slip_on": (
        "One spacer per side, the same on both sides of the axle. It always brings longer fasteners; never"
        " use the original ones with it. Some countries forbid spacers or ask for approval: local codes rule."
    ),
    "caution.spacer_bolt_on": (
        "One spacer per side, the same on both sides of the axle. Its own bolts are tightened and checked"
        " before the wheel goes on. Some countries forbid spacers or ask for approval: local codes rule."
    ),
}
_HEADLINES = {
    "headline.no": "Does not fit:",
    "headline.flush": "Sits flush with the arch.",
    "headline.inside": "Sits {inside_mm} inside the arch.",
    "headline.out": "Stands {out_mm} out of the arch.",
    "headline.bolts": "Needs {shank_mm} bolts, which we add.",
    "headline.nuts": "Needs nuts, which we add.",
    "headline.rings": "Needs centring rings to {inner_mm:2}, which we add.",
    "headline.bolts_rings": ("Needs {shank_mm} bolts and centring rings to {inner_mm:2}, which we add."),
    "headline.nuts_rings": "Needs nuts and centring rings to {inner_mm:2}, which we add.",
    "headline.measure_one": "We measure 1 point at the vehicle first.",
    "headline.measure": "We measure {point_count} points at the vehicle first.",
}
_SECTION = {
    "section.title": "{position} axle, cross-section: {outcome}",
    "section.wheel": "{width_in:#} x {diameter_in:#}, offset {offset_mm:#}",
    "section.wheel_unknown": "wheel size or offset not known",
    "section.with_spacer": "{spacer_mm} spacer",
    "section.no_spacer": "no spacer",
    "section.scale": "Drawn to scale, outboard to the right, the upper half from the axis.",
    "section.strut": "strut",
    "section.arch": "arch",
    "section.hub": "hub",
    "section.brake": "brake",
    "section.inside_unknown": "wheel's inside not known",
    "section.original": "original: {tyre} on {width_in:#} x {diameter_in:#}, offset {offset_mm:#}",
    "section.to_arch": "{gap_mm} to the arch: {verdict}",
    "section.past_arch": "{gap_mm} past the arch: {verdict}",
    "section.to_strut": "{gap_mm} to the strut: {verdict}",
    "section.into_strut": "{gap_mm} into the strut: {verdict}",
    "section.to_brake": "{gap_mm} to the brake: {verdict}",
    "section.width": "section width {section_mm}",
    "section.spacer": "spacer {spacer_mm}",
    "section.offset": "effective offset {offset_mm}",
    "section.track": "track {change_mm:+0}",
    "section.track_same": "track unchanged",
    "section.diameter": "overall diameter {diameter_mm}, half shown",
}
TEMPLATES = MappingProxyType(_CHECKS | _NEEDS | _SUGGESTIONS | _CAUTIONS | _HEADLINES | _SECTION)
"""English by message id."""

UNITS = MappingProxyType(
    {
        "mm": "mm",
        "in": "in",
        "kg": "kg",
        "kn": "kN",
        "nm": "N m",
        "kmh": "km/h",
        "pct": "per cent",
        "deg": "degrees",
        "bar": "bar",
    }
)
"""Units in English by the last word of a figure's key; numbers under other keys are bare."""
