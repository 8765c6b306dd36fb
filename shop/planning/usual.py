"""The hours and places that most small workshops begin with; entered at one press, then changed."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import time

from django.db import transaction
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy

from .models import Bay, OpeningHours

PLACES = (
    (gettext_lazy("Bay 1"), "bay"),
    (gettext_lazy("Lift 1"), "lift"),
    (gettext_lazy("Bench 1"), "bench"),
)
"""Named in the language of whoever enters them."""


def make_usual_places() -> None:
    """Enter a bay, a lift and a bench, and the usual hours for one; what is there stays."""
    enter(PLACES, people=1)


@transaction.atomic
def enter(places: Iterable[tuple[str | Promise, str]], *, people: int) -> None:
    """Enter places by name and kind, and Monday to Friday, 8 to 12 and 13 to 17; what is there stays."""
    if not Bay.objects.exists():
        Bay.objects.bulk_create(
            Bay(name=str(name), kind=kind, position=number) for number, (name, kind) in enumerate(places)
        )
    if not OpeningHours.objects.exists():
        OpeningHours.objects.bulk_create(
            OpeningHours(weekday=day, opens=time(opens), closes=time(closes), people=people)
            for day in range(5)
            for opens, closes in ((8, 12), (13, 17))
        )
