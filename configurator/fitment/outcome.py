"""A check's numbers, and the worst of several."""

from functools import reduce
from typing import Any, NamedTuple

import numpy as np

from .arithmetic import EPSILON, NAN, pick

# Ranks that no margin reaches: every no is below every unknown, and that below everything that passes.
_NO, _UNKNOWN = -2e9, -1e9


class Outcome(NamedTuple):
    """A check's numbers; `unit` picks one of the check's units. Floats, or arrays that broadcast.

    `value` may be a function, called for a report; a grid wants only margins and need not pay for it.
    """

    value: Any
    limit: Any
    margin: Any
    tolerance: Any = 0.0
    unit: int = 0


def _rank(row: Outcome) -> Any:
    known = pick(row.margin < -EPSILON, _NO + row.margin, row.margin - row.tolerance)
    return pick(row.margin == row.margin, known, _UNKNOWN)


def worse(a: Outcome, b: Outcome) -> Outcome:
    """Return whichever has the worse verdict: a no before an unknown, then what is least clear of it."""
    if isinstance(a.margin, np.ndarray) or isinstance(b.margin, np.ndarray):
        return _worse_margins(a, b)
    rank_a, rank_b = _rank(a), _rank(b)
    first = rank_a <= rank_b
    return Outcome(
        pick(first, a.value, b.value),
        pick(first, a.limit, b.limit),
        pick(first, a.margin, b.margin),
        pick(first, a.tolerance, b.tolerance),
        a.unit if first is True else b.unit,
    )


def _worse_margins(a: Outcome, b: Outcome) -> Outcome:
    """Do the same to arrays, whose values and limits nobody reads."""
    if isinstance(a.tolerance, float) and isinstance(b.tolerance, float) and a.tolerance == b.tolerance:
        margin = np.minimum(a.margin, b.margin)
        if np.isnan(margin).any():
            margin = definite_no(margin, np.fmin(a.margin, b.margin))
        return Outcome(NAN, NAN, margin, a.tolerance)
    first = _rank(a) <= _rank(b)
    margin = np.where(first, a.margin, b.margin)
    return Outcome(NAN, NAN, margin, np.where(first, a.tolerance, b.tolerance))


def worst(*rows: Outcome) -> Outcome:
    """Return the worst of several outcomes, the first of equals."""
    return reduce(worse, rows)


def definite_no(margin: Any, best: Any) -> Any:
    """Return the margin; where it is not known, the best it could be if even that is a no."""
    return pick((margin != margin) & (best < -EPSILON), best, margin)
