"""Paint colours: what they are, how far apart they look, and whether text on them can be read.

Colours come as ``#rrggbb`` text (sRGB, IEC 61966-2-1). Everything inside is CIELAB for D65 and the
2 degree observer (ISO/CIE 11664-4). Differences are CIEDE2000 (ISO/CIE 11664-6). Functions that take
coordinates take floats or NumPy arrays whose last axis has three members.

A colour on a screen stands for a paint; it does not replace a spray-out card beside the vehicle.
"""

from .contrast import contrast_ratio, relative_luminance, text_colour_on
from .convert import (
    ColourError,
    hex_to_lab,
    hex_to_rgb,
    lab_to_hex,
    lab_to_rgb,
    lab_to_xyz,
    mix,
    rgb_to_hex,
    rgb_to_lab,
    rgb_to_xyz,
    shift_lightness,
    xyz_to_lab,
    xyz_to_rgb,
)
from .difference import (
    HARDLY_DISTINGUISHABLE,
    Match,
    delta_e_2000,
    difference,
    hardly_distinguishable,
    nearest,
)

__all__ = [
    "HARDLY_DISTINGUISHABLE",
    "ColourError",
    "Match",
    "contrast_ratio",
    "delta_e_2000",
    "difference",
    "hardly_distinguishable",
    "hex_to_lab",
    "hex_to_rgb",
    "lab_to_hex",
    "lab_to_rgb",
    "lab_to_xyz",
    "mix",
    "nearest",
    "relative_luminance",
    "rgb_to_hex",
    "rgb_to_lab",
    "rgb_to_xyz",
    "shift_lightness",
    "text_colour_on",
    "xyz_to_lab",
    "xyz_to_rgb",
]
