"""From what is typed to a free line; what is left empty follows from the workshop and the vehicle."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from configurator.builds.price import labour
from configurator.catalogue import snapshot
from configurator.catalogue.snapshot import Catalogue

from .entering import Written
from .errors import UnmetError
from .models_lines import JobLine

BOTH = ("front", "rear")
AXLES = {"": (), "front": ("front",), "rear": ("rear",), "both": BOTH}


def written_of(data: dict[str, Any], generation: str) -> Written:
    """Return a line from a form's cleaned data.

    Without a price it costs its hours at the workshop's rate; without a torque the catalogue's counts, where
    it has the vehicle. Raises UnmetError naming the field.
    """
    catalogue = snapshot.current()
    hours = data.get("hands_on_h") or 0.0
    return Written(
        label=data["label"],
        amount=_amount(data.get("amount"), hours, catalogue),
        kind=data.get("kind") or JobLine.Kind.REPAIR,
        hands_on_h=hours,
        wait_h=data.get("wait_h") or 0.0,
        resource=data.get("resource") or "bay",
        wheels=tuple(
            _tightened(axle, data.get("torque_nm"), data.get("fasteners"), generation, catalogue)
            for axle in AXLES[data.get("wheels") or ""]
        ),
    )


def _amount(given: Decimal | None, hours: float, catalogue: Catalogue) -> Decimal:
    if given is not None:
        return given
    if catalogue.workshop is None:
        return Decimal(0)
    return labour([hours], catalogue.workshop.labour_rate_per_h)


def _tightened(
    axle: str, torque_nm: float | None, fasteners: int | None, generation: str, catalogue: Catalogue
) -> tuple[str, float, int]:
    known = catalogue.axles.get((generation, axle))
    torque = torque_nm or (known.torque_nm if known else None)
    if not torque:
        raise UnmetError(_("Where wheels come off, say to which torque they are tightened."), "torque_nm")
    count = fasteners or (known.wheels * (known.bolt_count or 1) if known else 0)
    return axle, float(torque), int(count)
