"""Why money cannot be booked."""

from __future__ import annotations

from typing import Any

from .reasons import why_not_booked


class PaymentError(ValueError):
    """The payment cannot be booked; ``field`` names what is wrong, ``str(error)`` says it.

    What may happen with nobody there carries its ``reason`` of ``reasons.BOOKING`` with ``values``: made by
    ``of``, it can be kept and read later in any language.
    """

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field
        self.reason = ""
        self.values: dict[str, Any] = {}

    @classmethod
    def of(cls, reason: str, field: str = "", **values: Any) -> PaymentError:
        """Return the error of that reason."""
        made = cls(why_not_booked(reason, values), field)
        made.reason, made.values = reason, values
        return made

    def kept(self) -> dict[str, Any] | str:
        """Return it as rows keep it: reason and values, or the sentence where there is no reason."""
        return {"reason": self.reason, "values": self.values} if self.reason else str(self)
