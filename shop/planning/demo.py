"""Demo bays and hours for the invented workshop."""

from __future__ import annotations

from datetime import time

from .models import Bay, OpeningHours

BAYS = (("Bay 1", "bay"), ("Bay 2", "bay"), ("Lift", "lift"), ("Booth", "booth"), ("Bench", "bench"))


def make_demo_bays() -> None:
    """Make two bays, a lift, a booth and a bench, Monday to Friday; does nothing where there are some."""
    if not Bay.objects.exists():
        Bay.objects.bulk_create(
            Bay(name=name, kind=kind, position=number) for number, (name, kind) in enumerate(BAYS)
        )
    if not OpeningHours.objects.exists():
        OpeningHours.objects.bulk_create(
            OpeningHours(weekday=day, opens=time(opens), closes=time(closes), people=2)
            for day in range(5)
            for opens, closes in ((8, 12), (13, 17))
        )
