"""One pressing of a button is one deed: what its key has made is found, and nothing else passes for it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.db.models import Model

from .errors import PaymentError

Row = TypeVar("Row", bound=Model)


def made_before(
    table: type[Row], press: str, refusal: Callable[[Row], PaymentError], **told: Any
) -> Row | None:
    """Return the row that this pressing has made; call it under the lock of the job.

    ``told`` is what the form says now. A key that was used with anything else is refused, never dropped:
    ``refusal`` of the row is raised.
    """
    known = table._default_manager.filter(press=press).first() if press else None
    if known is not None and any(getattr(known, name) != value for name, value in told.items()):
        raise refusal(known)
    return known
