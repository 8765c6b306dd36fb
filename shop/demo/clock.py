"""The demonstration's clock: what its month does happens on the day on which it would have happened.

Only the demo command turns it. Everything the product stamps reads Django's ``timezone.now``, so a deed done
under this clock is dated as if it had been done then; time goes on meanwhile as it does.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta, tzinfo

from django.utils import timezone


@contextmanager
def at(moment: datetime) -> Iterator[None]:
    """Have it be ``moment`` inside; the clock goes on from there and is put right at the end.

    The class that ``timezone.now`` asks is replaced, not the function: models hold the function itself.
    """
    begun = time.monotonic()

    class Turned(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override]
            return (moment + timedelta(seconds=time.monotonic() - begun)).astimezone(tz)

    real = timezone.datetime  # type: ignore[attr-defined]
    timezone.datetime = Turned  # type: ignore[attr-defined]
    try:
        yield
    finally:
        timezone.datetime = real  # type: ignore[attr-defined]
