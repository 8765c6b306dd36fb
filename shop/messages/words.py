"""Money, days and times as the reader's language writes them."""

from __future__ import annotations

from datetime import date, datetime

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import get_language

from configurator.pages.told import money

__all__ = ["brief", "day", "moment", "money"]


def day(value: date | datetime) -> str:
    """Return a day with its weekday, such as ``Monday 3 March 2025``."""
    if isinstance(value, datetime):
        value = timezone.localtime(value)
    return date_format(value, "l, j. F Y" if (get_language() or "").startswith("de") else "l j F Y")


def moment(value: datetime) -> str:
    """Return a day with its weekday and the time of day in the workshop's time zone."""
    return f"{day(value)}, {timezone.localtime(value):%H:%M}"


def brief(value: datetime) -> str:
    """Return a day and time for lists, such as ``3 Mar 2025, 14:05``."""
    local = timezone.localtime(value)
    pattern = "j. M Y" if (get_language() or "").startswith("de") else "j M Y"
    return f"{date_format(local, pattern)}, {local:%H:%M}"
