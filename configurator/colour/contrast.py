"""Contrast of text and background as WCAG 2.2 defines it (SC 1.4.3, 1.4.6, 1.4.11)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .convert import Array, hex_to_rgb, linear

AA_TEXT, AA_LARGE_TEXT, AAA_TEXT, AAA_LARGE_TEXT, NON_TEXT = 4.5, 3.0, 7.0, 4.5, 3.0


def relative_luminance(rgb: ArrayLike) -> Array | float:
    """Return WCAG relative luminance of channels of 0 to 255; shape (..., 3) gives (...)."""
    result = linear(np.asarray(rgb, float) / 255) @ np.array([0.2126, 0.7152, 0.0722])
    return float(result) if np.ndim(result) == 0 else result


def contrast_ratio(first: str, second: str) -> float:
    """Return the ratio of two ``#rrggbb`` colours, 1 to 21; compare it unrounded."""
    levels = sorted(float(relative_luminance(hex_to_rgb(value))) for value in (first, second))
    return (levels[1] + 0.05) / (levels[0] + 0.05)


def text_colour_on(background: str) -> str:
    """Return black or white, whichever reads better on ``background``."""
    return max(("#000000", "#ffffff"), key=lambda text: contrast_ratio(text, background))
