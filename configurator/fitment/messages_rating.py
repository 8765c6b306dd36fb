"""What the checks of ratings, speeds and axles say: English by message id (see `messages`)."""

RATING = {
    "tyre_rim_width.diameter": "Tyre for {tyre_in:#} inches, wheel of {rim_in:#}: they do not go together.",
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
        "Rolling circumference changes by {change_pct:+}: by calculation the speedometer stays within UN R39."
    ),
    "speedometer.measure": (
        "Rolling circumference changes by {change_pct:+}: lawful only if the original read high enough, or"
        " not too high; measure it on the road."
    ),
    "speedometer.no": (
        "Rolling circumference changes by {change_pct:+}: by calculation the speedometer would leave"
        " UN R39; a tyre nearer the original's circumference."
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
