"""A form that was sent before: the same again is one deed, and anything else is refused and never dropped."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from configurator.builds.sending import Contact

from .errors import PressUsedError
from .models import Job


def check_same(was: Any, now: Any) -> None:
    """Raise PressUsedError where a form says something else than when it was sent first."""
    if was != now:
        raise PressUsedError


def check_same_lines(made: Any, lines: Iterable[Any]) -> None:
    """Raise PressUsedError unless these are the first lines of a job, or all of a proposal, as written."""
    now = [(line.label.strip()[:160], line.amount) for line in lines]
    check_same(list(made.lines.order_by("number").values_list("label", "amount")[: len(now)]), now)


def check_same_contact(made: Job, contact: Contact) -> None:
    """Raise PressUsedError unless this is the contact that the job was entered with."""
    first = made.spec.revisions.order_by("number").first()
    now = {name: value.strip() for name, value in vars(contact).items() if isinstance(value, str)}
    check_same({name: getattr(first, name, "").strip() for name in now}, now)
