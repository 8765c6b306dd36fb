"""What stands in where nothing is stated: tolerances and limits. Common practice, no source, unless
another source is named.

A tolerance that is not stated is never 0: what was measured by hand is out by a little.
"""

INCH_MM = 25.4
# Flange of contour J outside the rim width, per side: ISO 4000-2, from memory.
RIM_FLANGE_MM = 13.0

# Tolerance of each length measured on the vehicle (arch, strut, brake, spigot, thread, free depth), mm.
AXLE_TOLERANCE_MM = 2.0
# Tolerance of a wheel's drawn sizes: offset, seat, inside.
WHEEL_TOLERANCE_MM = 0.5
# Tolerance of a turned spacer.
SPACER_TOLERANCE_MM = 0.1
# Tolerance of a fastener's shank.
FASTENER_TOLERANCE_MM = 0.5
# Tolerance of a tyre's width or diameter when it was measured; otherwise it may lawfully grow, `GROWTH`.
MEASURED_TYRE_TOLERANCE_MM = 2.0

# Clearance between tyre or rim and the suspension: more where the wheel steers.
INBOARD_CLEARANCE_MM, STEERED_CLEARANCE_MM = 5.0, 8.0
# What stick-on weights, a valve or a pressure sensor may take on the wheel's inside when nobody said.
FITTED_INSIDE_MM = 4.0

# Change of track that passes, and that an approval may still allow; narrowing costs stability.
TRACK_USUAL_PCT, TRACK_LIMIT_PCT = 2.0, 4.0
NARROWING_USUAL_PCT, NARROWING_LIMIT_PCT = 0.5, 1.0

# Scatter of the nut factor under a torque wrench (handbook: 25 per cent either way), and the least share of
# the proof load that keeps a wheel's joint from working loose.
NUT_FACTOR_SCATTER = 0.25
LEAST_CLAMP_SHARE = 0.30

# Slip-on spacers crack when thin and let their long fasteners bend when thick; bolt-on ones hold bolt heads.
SLIP_ON_LEAST_MM, SLIP_ON_MOST_MM, BOLT_ON_LEAST_MM = 3.0, 25.0, 20.0
# Metal around the hub's spigot inside a spacer's own spigot.
LIP_WALL_MM = 2.0
# Thread in aluminium without steel inserts, in diameters.
ALUMINIUM_ENGAGEMENT_D = 1.5

# Room between twin tyres, as a share of their section width, where the tyre maker states no spacing.
TWIN_GAP_SHARE = 0.125

# Least speed of a snow tyre below the vehicle's own: symbol Q.
SNOW_LEAST_KMH = 160.0

# A gap between bore and spigot that no ring could fill; up to it the bore is hub-centric as it is.
RING_LEAST_GAP_MM = 0.1
