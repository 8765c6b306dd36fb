"""The few operations that must do the same to floats and to arrays. NaN stands for "not known"."""

from typing import Any

import numpy as np

NAN = float("nan")
EPSILON = 1e-9  # nominal dimensions are decimal fractions: 112.1 - 112.0 is not quite 0.1

FITS, MEASURE, UNKNOWN, NO = 0, 1, 2, 3
VERDICTS = ("fits", "measure", "unknown", "no")


def pick(condition: Any, yes: Any, no: Any) -> Any:
    """Return `yes` where the condition holds, else `no`."""
    if isinstance(condition, bool):
        return yes if condition else no
    return np.where(condition, yes, no)


def least(a: Any, b: Any) -> Any:
    """Return the smaller of two, NaN where either is NaN."""
    if isinstance(a, float) and isinstance(b, float):
        return a if a <= b or a != a else b
    return np.minimum(a, b)


def most(a: Any, b: Any) -> Any:
    """Return the larger of two, NaN where either is NaN."""
    if isinstance(a, float) and isinstance(b, float):
        return a if a >= b or a != a else b
    return np.maximum(a, b)


def differs(a: Any, b: Any) -> Any:
    """Return 1.0 where two codes differ, 0.0 where they are equal, NaN where either is NaN."""
    gap = a - b
    return (gap != 0) * 1.0 + 0.0 * gap


def known_or(value: Any, otherwise: Any) -> Any:
    """Return the value where it is known, else the other."""
    return pick(value == value, value, otherwise)


def verdict_code(margin: Any, tolerance: Any) -> Any:
    """Return 0 fits, 1 measure, 2 unknown, 3 no; uint8 for arrays.

    no: margin < 0. measure: 0 <= margin < tolerance. fits: margin >= tolerance. A NaN margin is unknown.
    """
    below, above, clear = margin < -EPSILON, margin >= -EPSILON, margin >= tolerance - EPSILON
    if isinstance(below, bool):
        return UNKNOWN + below - above - (above and clear)
    # A tolerance is never negative, so what is clear of it is above 0 as well; NaN compares false thrice.
    code = below.view(np.int8) - above.view(np.int8)
    code = code - np.asarray(clear).view(np.int8)
    code += UNKNOWN
    return code.view(np.uint8)
