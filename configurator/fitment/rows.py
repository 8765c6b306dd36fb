"""The row that every check answers with."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .said import Figure, Messages, as_dict, told


def known(value: float) -> float | None:
    """Return a finite number, else None: an unknown is never written as a number."""
    return float(value) if math.isfinite(value) else None


@dataclass(frozen=True)
class Check:
    """One row. `margin` is nominal and positive when it fits; `tolerance` the worst-case sum of the inputs'.

    `messages` say what was found, as values (`messages.py` tells how to word them); `missing` names the
    inputs that an `unknown` row lacks.
    """

    id: str
    verdict: str
    value: float | None
    limit: float | None
    margin: float | None
    tolerance: float | None
    unit: str
    axle: str
    messages: Messages
    source: str
    missing: tuple[str, ...] = ()

    @property
    def message_id(self) -> str:
        """Id of the first message."""
        return self.messages[0].id

    @property
    def figures(self) -> Mapping[str, Figure]:
        """Figures of the first message."""
        return self.messages[0].figures

    @property
    def message(self) -> str:
        """All that the row says, in English."""
        return told(self.messages)

    def as_dict(self) -> dict[str, Any]:
        """Return the row as plain data, numbers to six decimals."""
        row = {
            name: getattr(self, name)
            for name in ("id", "verdict", "value", "limit", "margin", "tolerance", "unit", "axle")
        }
        row |= {"message": self.message, "source": self.source, **as_dict(self.messages)}
        return {name: round(v, 6) + 0.0 if isinstance(v, float) else v for name, v in row.items()}
