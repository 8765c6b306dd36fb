"""The parts list: everything the build uses, each line with the choices that asked for it.

Lines for the same thing in the same place are one line; litres of one colour in one system are mixed
once a job.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from configurator.catalogue.models import Item

from . import money, paint
from .build import Build
from .evaluation import PartLine
from .gathering import Draft
from .parts_gathering import gathered
from .tasks import Task

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

    from .axles import AxleHardware
    from .brought import Brought


FREE = "workshop"
"""At whose cost a line is that the customer does not pay for."""


def parts_list(
    build: Build,
    catalogue: Catalogue,
    hardware: dict[str, AxleHardware],
    found: list[Task],
    brought: Iterable[Brought],
    names: dict[str, str],
) -> tuple[PartLine, ...]:
    """Return the lines in reading order: axle parts, hardware, panels, paint, materials, extras.

    ``brought`` comes from the *brings* rules; ``names`` labels every choice.
    """
    return tuple(_line(draft) for draft in gathered(build, catalogue, hardware, found, brought, names))


def cost(item: Item, kind: str, exact: Decimal, at_cost_of: str) -> Decimal:
    """Return what the customer pays for an exact quantity, rounded up to what can be handed out."""
    return Decimal(0) if at_cost_of == FREE else money.rounded(_issued(item, kind, exact) * item.unit_price)


def _line(draft: Draft) -> PartLine:
    item = draft.item
    quantity = _issued(item, draft.kind, draft.exact)
    free = draft.at_cost_of == FREE
    return PartLine(
        item=item.code,
        name=item.name,
        kind=draft.kind,
        quantity=quantity,
        unit=item.unit,
        unit_price=Decimal(0) if free else item.unit_price,
        amount=cost(item, draft.kind, draft.exact, draft.at_cost_of),
        unit_cost_net=item.unit_cost,
        at_cost_of=draft.at_cost_of,
        returnable=item.returnable,
        supplier=item.supplier.code,
        supplier_name=item.supplier.name,
        supplier_ref=item.supplier_ref,
        pack_size=item.pack_size,
        lead_time_days=item.lead_time_days
        if item.lead_time_days is not None
        else item.supplier.lead_time_days,
        for_choices=tuple(draft.choices),
        for_names=tuple(draft.choices.values()),
        where=draft.where,
        why=draft.why if isinstance(draft.why, str) else draft.why(),
        facts=draft.facts,
    )


def _issued(item: Item, kind: str, exact: Decimal) -> Decimal:
    """Round a quantity up to what can be handed out: paint as mixed, the rest to hundredths."""
    if kind == "paint":
        return paint.mixed_litres(float(exact))
    if item.unit == Item.Unit.EACH:
        return exact.to_integral_value(rounding="ROUND_CEILING")
    return exact.quantize(Decimal("0.01"), rounding="ROUND_CEILING")
