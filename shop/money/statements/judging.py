"""Movements that name no job, which most of a bank's statement are: judged many at a time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from django.db import transaction

from shop.money.models import StatementEntry

from .deciding import AT_ONCE, Act, OfFile, decide

State = StatementEntry.State


@transaction.atomic
def judge_together(keys: Sequence[int], file: OfFile) -> None:
    """Keep why a person must look at these open movements, or none need.

    One that somebody took up meanwhile is left as it is.
    """
    for start in range(0, len(keys), AT_ONCE):
        rows = StatementEntry.objects.select_for_update().filter(pk__in=keys[start : start + AT_ONCE])
        alike: dict[tuple[Any, ...], list[int]] = defaultdict(list)
        for row in rows.filter(state=State.OPEN, reason=""):
            decision = decide(row, file)
            aside, later = decision.act == Act.ASIDE, decision.act == Act.LATER
            values = tuple(sorted(decision.values.items()))
            alike[aside, decision.reason, values, row.booked_on if later else None].append(row.pk)
        for (aside, reason, values, day), some in alike.items():
            state = State.SET_ASIDE if aside else State.OPEN
            StatementEntry.objects.filter(pk__in=some).update(
                state=state, reason=reason, values=dict(values), match_on=day
            )
