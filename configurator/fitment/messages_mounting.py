"""What the checks of how a wheel is mounted say: English by message id (see `messages`)."""

MOUNTING = {
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
        "Bolt circle {circle_mm:2} on {wanted_mm:2}: only a bolt-on spacer made for both would join them."
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
    "spacer_kind.slip_on_most": "A slip-on spacer of {spacer_mm}; {wanted_mm} is the most for one.",
    "spacer_kind.bolt_on_most": "A bolt-on spacer of {spacer_mm}; {wanted_mm} is the most it may be.",
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
}
