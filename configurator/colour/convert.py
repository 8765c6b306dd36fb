"""Between ``#rrggbb``, sRGB, XYZ and CIELAB.

sRGB follows IEC 61966-2-1:1999 with its four-decimal matrix; CIELAB follows ISO/CIE 11664-4. The white
is the matrix's own (the sum of its rows), so that white comes out as exactly L* = 100, a* = b* = 0.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array: TypeAlias = NDArray[np.float64]

RGB_TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
XYZ_TO_RGB = np.linalg.inv(RGB_TO_XYZ)
WHITE_XYZ = RGB_TO_XYZ.sum(axis=1)

# ISO/CIE 11664-4 writes these as fractions; rounded decimals would leave a step where the pieces meet.
_EPSILON = (6 / 29) ** 3
_KAPPA = (29 / 3) ** 3

_HEX = re.compile(r"#([0-9a-fA-F]{6})\Z")


class ColourError(ValueError):
    """The text is not a colour such as ``#a1b2c3``."""


@lru_cache(maxsize=4096)
def hex_to_rgb(value: str) -> tuple[int, int, int]:
    """Return the three 8-bit channels of ``#rrggbb``; raise `ColourError` for anything else."""
    match = _HEX.match(value) if isinstance(value, str) else None
    if not match:
        raise ColourError(f"{value!r} is not a colour: write # and six digits 0-9 or letters a-f.")
    number = int(match[1], 16)
    return number >> 16, number >> 8 & 255, number & 255


def rgb_to_hex(rgb: ArrayLike) -> str:
    """Return ``#rrggbb`` for three channels of 0 to 255, rounded and held inside that range."""
    red, green, blue = np.clip(np.rint(np.asarray(rgb, float)), 0, 255).astype(int)
    return f"#{red:02x}{green:02x}{blue:02x}"


def linear(channel: ArrayLike) -> Array:
    """Undo the sRGB transfer curve for channels of 0 to 1."""
    c = np.asarray(channel, float)
    return np.where(c <= 0.04045, c / 12.92, ((np.maximum(c, 0.04045) + 0.055) / 1.055) ** 2.4)


def encoded(channel: ArrayLike) -> Array:
    """Apply the sRGB transfer curve to linear light of 0 to 1."""
    c = np.asarray(channel, float)
    return np.where(c <= 0.0031308, c * 12.92, 1.055 * np.maximum(c, 0.0031308) ** (1 / 2.4) - 0.055)


def rgb_to_xyz(rgb: ArrayLike) -> Array:
    """Return XYZ with Y = 1 for white, from channels of 0 to 255; shape (..., 3)."""
    return linear(np.asarray(rgb, float) / 255) @ RGB_TO_XYZ.T


def xyz_to_rgb(xyz: ArrayLike) -> Array:
    """Return channels of 0 to 255, unrounded; values outside that range are out of gamut."""
    return encoded(np.asarray(xyz, float) @ XYZ_TO_RGB.T) * 255


def xyz_to_lab(xyz: ArrayLike) -> Array:
    """Return L*, a*, b* for XYZ with Y = 1 for white; shape (..., 3)."""
    t = np.asarray(xyz, float) / WHITE_XYZ
    f = np.where(t > _EPSILON, np.cbrt(t), (_KAPPA * t + 16) / 116)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike) -> Array:
    """Return XYZ with Y = 1 for white, from L*, a*, b*; shape (..., 3)."""
    values = np.asarray(lab, float)
    y = (values[..., 0] + 16) / 116
    f = np.stack([y + values[..., 1] / 500, y, y - values[..., 2] / 200], axis=-1)
    return np.where(f > 6 / 29, f**3, (116 * f - 16) / _KAPPA) * WHITE_XYZ


def rgb_to_lab(rgb: ArrayLike) -> Array:
    """Return L*, a*, b* of channels of 0 to 255; shape (..., 3)."""
    return xyz_to_lab(rgb_to_xyz(rgb))


def lab_to_rgb(lab: ArrayLike) -> Array:
    """Return channels of 0 to 255 of L*, a*, b*, unrounded and perhaps out of gamut; shape (..., 3)."""
    return xyz_to_rgb(lab_to_xyz(lab))


@lru_cache(maxsize=4096)
def _hex_to_lab(value: str) -> tuple[float, float, float]:
    lightness, a, b = rgb_to_lab(hex_to_rgb(value)).tolist()
    return lightness, a, b


def hex_to_lab(value: str) -> Array:
    """Return L*, a*, b* of ``#rrggbb``."""
    return np.array(_hex_to_lab(value))


def lab_to_hex(lab: ArrayLike) -> str:
    """Return the nearest ``#rrggbb``, with the hue kept: chroma gives way until sRGB can show it."""
    lightness, a, b = np.asarray(lab, float)
    if not 0 < lightness < 100:
        return "#000000" if lightness <= 0 else "#ffffff"
    share = np.linspace(1, 0, 65)[:, None]
    tries = lab_to_rgb(np.hstack([np.full_like(share, lightness), share * a, share * b]))
    inside = ((tries > -0.5) & (tries < 255.5)).all(axis=1)
    return rgb_to_hex(tries[int(np.argmax(inside))])


@lru_cache(maxsize=4096)
def shift_lightness(value: str, by: float) -> str:
    """Return ``value`` with L* raised (or lowered) by ``by``, stopping at black and white."""
    if not by:
        return value
    lightness, a, b = _hex_to_lab(value)
    return lab_to_hex((lightness + by, a, b))


def mix(first: str, second: str, share: float) -> str:
    """Return the colour ``share`` (0 to 1) of the way from ``first`` to ``second`` in CIELAB."""
    return lab_to_hex(hex_to_lab(first) * (1 - share) + hex_to_lab(second) * share)
