"""What a build uses, gathered: two asks for one thing in one place are one, with all its choices.

Litres of one colour in one system are mixed once a job.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING, Any

from configurator.catalogue.literals import PART_KINDS
from configurator.catalogue.models import Fastener, Finish, Material, PaintLayer
from configurator.catalogue.related import rows_of

from . import paint
from .build import Build, ChosenOption
from .gathering import Draft, Gathering, Slot
from .records import PieceFacts
from .sentences import say
from .tasks import Task

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

    from .axles import AxleHardware
    from .brought import Brought


def gathered(
    build: Build,
    catalogue: Catalogue,
    hardware: dict[str, AxleHardware],
    found: list[Task],
    brought: Iterable[Brought],
    names: Mapping[str, str],
) -> list[Draft]:
    """Return what the parts list consists of, in reading order, each thing in each place once."""
    gathering = Gathering()
    gather_choices(build, hardware, found, gathering)
    gather_brought(brought, names, catalogue, gathering)
    return list(gathering.drafts.values())


def gather_choices(
    build: Build, hardware: dict[str, AxleHardware], found: list[Task], gathering: Gathering
) -> None:
    """Gather what the build's choices use, and ``found``'s recipes for them."""
    _axle_parts(build, gathering)
    for row in build.axles:
        if row.position in hardware:
            _hardware(hardware[row.position], row.position, gathering)
    _panels(build, gathering)
    _paint(build, gathering)
    _materials(found, gathering)


def gather_brought(
    brought: Iterable[Brought], names: Mapping[str, str], catalogue: Catalogue, gathering: Gathering
) -> None:
    """Gather what rules bring along; ``names`` labels every choice."""
    for extra in brought:
        gathering.add(
            catalogue.items[extra.item],
            extra.quantity,
            *((choice, names.get(choice, "")) for choice in extra.choices),
            kind="extra",
            where=say("with_the_job"),
            why=extra.reason,
            at_cost_of=extra.at_cost_of,
        )


def _axle_parts(build: Build, gathering: Gathering) -> None:
    for row in build.axles:
        for kind in PART_KINDS:
            part = getattr(row, kind)
            if part is not None:
                gathering.add(
                    part.item,
                    row.axle.wheels,
                    (row.token(kind), str(part)),
                    kind=kind,
                    where=say(f"{row.position}_axle"),
                    why=say(f"chosen_{row.position}_{kind}"),
                )


def _hardware(found: AxleHardware, position: str, gathering: Gathering) -> None:
    for piece in found.pieces:
        gathering.add(
            piece.part.item,
            piece.quantity,
            piece.choice,
            kind=piece.kind,
            where=say(f"{position}_axle"),
            why=piece.why,
            facts=fastener_facts(piece.part) if isinstance(piece.part, Fastener) else PieceFacts(),
        )


def fastener_facts(part: Fastener) -> PieceFacts:
    """Return what identifies a bolt or nut on the parts list."""
    return PieceFacts(
        kind=part.kind,
        thread=part.thread,
        shank_mm=part.shank_mm,
        seat=part.seat,
        finish=part.finish.name,
        property_class=part.property_class,
        locking=part.locking,
    )


def _panels(build: Build, gathering: Gathering) -> None:
    for chosen in build.options:
        option = chosen.option
        if option.item is None:
            continue
        facts = PieceFacts(finish=chosen.finish.name) if chosen.finish else PieceFacts()
        gathering.add(
            option.item,
            option.item_quantity,
            (option.code, option.name),
            key=chosen.finish.code if chosen.finish else "",
            kind="panel",
            where=option.family.name,
            why=partial(say, "chosen", part=option.name),
            facts=facts,
        )


def _paint(build: Build, gathering: Gathering) -> None:
    """Add the exact litres of every coat; tinted coats are kept apart by colour."""
    for chosen in build.options:
        if chosen.system is not None and chosen.finish is not None:
            for layer in rows_of(chosen.system, "layers"):
                _coat(chosen, chosen.finish, layer, gathering)


def _coat(chosen: ChosenOption, finish: Finish, layer: PaintLayer, gathering: Gathering) -> None:
    option, system = chosen.option, layer.system
    exact = paint.litres(
        option.paint_area_m2 * option.item_quantity,
        dry_film_um=layer.dry_film_um,
        volume_solids_pct=layer.volume_solids_pct,
        transfer_efficiency_pct=layer.transfer_efficiency_pct,
    )
    tint: dict[str, Any] = {}
    if layer.tinted:
        tint = {"finish": finish.name, "hex": finish.hex, "paint_code": finish.paint_code}
    facts = PieceFacts(
        system=system.name,
        coat=layer.stage,
        dry_film_um=layer.dry_film_um,
        voc_g_per_l=layer.voc_g_per_l,
        max_temperature_c=system.max_temperature_c,
        **tint,
    )
    gathering.add(
        layer.item,
        Decimal(repr(exact)),
        (option.code, option.name),
        key=f"{system.code}:{finish.code if layer.tinted else ''}",
        kind="paint",
        where=say("booth"),
        why=partial(_why_coat, layer, finish),
        facts=facts,
    )


def _why_coat(layer: PaintLayer, finish: Finish) -> str:
    coat, system = say(layer.stage), layer.system.name
    if layer.tinted:
        return say("coat_colour", coat=coat, system=system, finish=finish.name)
    return say("coat", coat=coat, system=system)


def _materials(found: list[Task], gathering: Gathering) -> None:
    for task in found:
        for material in rows_of(task.recipe, "materials"):
            quantity = material.quantity * _counted(material, task)
            if quantity:
                gathering.add(
                    material.item,
                    quantity,
                    (task.choice, task.name),
                    once=_once(material, task),
                    kind="material",
                    where=say("workshop"),
                    why=material.note or partial(say, "used_for", recipe=task.recipe.name),
                )


def _once(material: Material, task: Task) -> Slot:
    """Return what names a material that is used once a job."""
    return (task.recipe.code, material.item.code) if material.basis == Material.Basis.JOB else ()


def _counted(material: Material, task: Task) -> Decimal:
    """Return how many times a material's quantity is wanted by one task."""
    option = task.option.option if task.option else None
    number: float = 1
    if material.basis == Material.Basis.WHEEL:
        number = task.wheels or 4
    elif material.basis == Material.Basis.LENGTH:
        number = option.bond_length_m * option.item_quantity if option else 0
    elif material.basis == Material.Basis.AREA:
        number = option.paint_area_m2 * option.item_quantity if option else 0
    return Decimal(repr(number))
