"""Hours of work laid over working days, exactly."""

from __future__ import annotations

import math
from fractions import Fraction

Hours = float | Fraction


def exact(hours: Hours) -> Fraction:
    """Return hours as the decimal figure that was written: 7.6 is 38/5, not the nearest binary fraction."""
    return Fraction(repr(hours)) if isinstance(hours, float) else Fraction(hours)


def worked(start_h: Hours, hands_on_h: Hours, hours_per_day: Hours) -> Fraction:
    """Return the clock hour at which work begun at ``start_h`` is done.

    Clock hours count from the opening of the first working day; a day's work lasts ``hours_per_day`` (above
    0, at most 24) and goes on the next morning. Exact, since a billionth of an hour too much would be a day.
    """
    per_day, left = exact(hours_per_day), exact(hands_on_h)
    day, hour = divmod(exact(start_h), 24)
    if not left:
        return exact(start_h)
    begun = day * per_day + min(hour, per_day)
    # Counted in hours of work alone, the end is a sum; a full day's work ends that evening.
    days = math.ceil((begun + left) / per_day) - 1
    return days * 24 + (begun + left - days * per_day)
