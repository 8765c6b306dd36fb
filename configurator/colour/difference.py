"""How different two colours look: CIEDE2000 (ISO/CIE 11664-6), with kL = kC = kH = 1.

The formula follows Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula: implementation
notes", 2005, which also gives the test pairs for its discontinuities.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from .convert import Array, hex_to_lab

HARDLY_DISTINGUISHABLE = 5.0
"""Below this difference an accent reads as a poor match rather than as an accent.

About 1 is the least that a trained eye sees on samples side by side; on a vehicle in daylight, some
metres away, on parts that do not touch, it takes several times as much. Common practice, no source.
"""


class Match(NamedTuple):
    """A palette colour and its CIEDE2000 difference from what was asked for."""

    code: str
    difference: float


def _hue(a: Array, b: Array) -> Array:
    """Return the hue angle in radians, 0 to 2 pi; 0 for greys."""
    return np.arctan2(b, a) % (2 * np.pi)


def _hue_step(h1: Array, h2: Array, grey: Array) -> Array:
    """Return the signed shorter way round from ``h1`` to ``h2``; 0 when either is a grey."""
    step = h2 - h1
    step = np.where(step > np.pi, step - 2 * np.pi, step)
    step = np.where(step < -np.pi, step + 2 * np.pi, step)
    return np.where(grey, 0.0, step)


def _hue_mean(h1: Array, h2: Array, grey: Array) -> Array:
    """Return the mean hue on the shorter arc; the sum when either is a grey, as the notes say."""
    total = h1 + h2
    far = np.abs(h1 - h2) > np.pi
    mean = np.where(far, np.where(total < 2 * np.pi, total / 2 + np.pi, total / 2 - np.pi), total / 2)
    return np.where(grey, total, mean)


def _seventh(chroma: Array) -> Array:
    """Return sqrt(C^7 / (C^7 + 25^7)), the weight by which the formula corrects low chroma and blue."""
    return np.sqrt(chroma**7 / (chroma**7 + 25.0**7))


def _weights(lightness: Array, chroma: Array, hue: Array) -> tuple[Array, Array, Array, Array]:
    """Return S_L, S_C, S_H and the rotation term R_T at the mean colour."""
    t = (
        1
        - 0.17 * np.cos(hue - np.radians(30))
        + 0.24 * np.cos(2 * hue)
        + 0.32 * np.cos(3 * hue + np.radians(6))
        - 0.20 * np.cos(4 * hue - np.radians(63))
    )
    square = (lightness - 50) ** 2
    turn = np.radians(30) * np.exp(-(((np.degrees(hue) - 275) / 25) ** 2))
    rotation = -2 * _seventh(chroma) * np.sin(2 * turn)
    return 1 + 0.015 * square / np.sqrt(20 + square), 1 + 0.045 * chroma, 1 + 0.015 * chroma * t, rotation


def delta_e_2000(lab1: ArrayLike, lab2: ArrayLike) -> Array | float:
    """Return the CIEDE2000 difference of L*, a*, b* triples.

    The inputs have shape (..., 3) and broadcast against each other; the result has the shape without
    the last axis, and is a float for two single colours.
    """
    first, second = np.broadcast_arrays(np.asarray(lab1, float), np.asarray(lab2, float))
    l1, a1, b1 = np.moveaxis(first, -1, 0)
    l2, a2, b2 = np.moveaxis(second, -1, 0)
    stretch = 1.5 - 0.5 * _seventh((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2)
    a1, a2 = a1 * stretch, a2 * stretch
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = _hue(a1, b1), _hue(a2, b2)
    grey = c1 * c2 == 0
    s_l, s_c, s_h, rotation = _weights((l1 + l2) / 2, (c1 + c2) / 2, _hue_mean(h1, h2, grey))
    d_l = (l2 - l1) / s_l
    d_c = (c2 - c1) / s_c
    d_h = 2 * np.sqrt(c1 * c2) * np.sin(_hue_step(h1, h2, grey) / 2) / s_h
    # The rotation term makes a quadratic form that rounding can push just below nought.
    result = np.sqrt(np.maximum(d_l**2 + d_c**2 + d_h**2 + rotation * d_c * d_h, 0))
    return float(result) if result.ndim == 0 else result


def difference(first: str, second: str) -> float:
    """Return the CIEDE2000 difference of two ``#rrggbb`` colours."""
    return float(delta_e_2000(hex_to_lab(first), hex_to_lab(second)))


def nearest(value: str, palette: Mapping[str, str]) -> list[Match]:
    """Return the whole palette (code to ``#rrggbb``) with the nearest colour first, ties by code."""
    if not palette:
        return []
    labs = np.array([hex_to_lab(colour) for colour in palette.values()])
    found = np.asarray(delta_e_2000(hex_to_lab(value), labs))
    return sorted(map(Match, palette, found.tolist()), key=lambda m: (m.difference, m.code))


def hardly_distinguishable(first: str, second: str, threshold: float = HARDLY_DISTINGUISHABLE) -> bool:
    """Say whether two ``#rrggbb`` colours are closer than ``threshold``, see `HARDLY_DISTINGUISHABLE`."""
    return difference(first, second) < threshold
