"""What the checks of the space around a wheel say: English by message id (see `messages`)."""

SPACE = {
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
}
