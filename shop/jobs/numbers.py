"""Numbers for papers: in order, without gaps, one each."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from .models import NumberSeries


def next_number(series: str) -> str:
    """Return the next number of a series in this year, such as ``K-2026-0001``.

    Must run inside the transaction that stores it: the counter's row stays locked until then, and a
    transaction that fails gives its number back.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("take a number inside the transaction that stores it")
    year = timezone.localdate().year
    own = NumberSeries.objects.select_for_update().filter(series=series, year=year)
    counter = own.first()
    if counter is None:
        # The year's first: whoever makes the row at the same moment, it is looked at again under its lock.
        NumberSeries.objects.get_or_create(series=series, year=year)
        counter = own.get()
    counter.last += 1
    counter.save(update_fields=["last"])
    return f"{series}-{year}-{counter.last:04d}"
