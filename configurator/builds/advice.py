"""What would suit an axle better: spacers towards the arch, tyres near the original, a change that mends.

The fitment package ranks plain data; here its answers find back to the rows they came from, so that a
customer can take one by a button.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from configurator import fitment
from configurator.catalogue import fitting, selectors
from configurator.catalogue.literals import part_code
from configurator.words import said

from . import suggest
from .hardware import Mounted, mounted
from .resolve import AxleBuild, Build, resolve
from .selection import POSITIONS, Selection
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

MOST = 4


@dataclass(frozen=True)
class Proposal:
    """One part to take: ``token`` as rules write it, its name, why, and what the fit is then."""

    token: str
    name: str
    reason: str
    verdict: str


@dataclass(frozen=True)
class Advice:
    """What would suit one axle. ``mends`` is empty unless the present fit says no."""

    position: str
    mends: tuple[Proposal, ...]
    spacers: tuple[Proposal, ...]
    tyres: tuple[Proposal, ...]


class Candidates:
    """Catalogue rows as fitment data, with the way back from each piece of data to its row."""

    def __init__(self, position: str, kind: str, rows: Iterable[Any]) -> None:
        to_data = {"wheel": fitting.wheel_data, "tyre": fitting.tyre_data, "spacer": fitting.spacer_data}
        self.kind, self.position = kind, position
        pairs = [(row, to_data[kind](row)) for row in rows]  # type: ignore[operator]
        self.data = [data for _row, data in pairs]
        self._row = {id(data): row for row, data in pairs}

    def proposal(self, found: fitment.Suggestion) -> Proposal:
        """Return the suggestion under the row's code and name; no part means none of the kind."""
        row = self._row.get(id(found.part))
        token = part_code(self.position, self.kind, row.code if row is not None else None)
        kept = "no_spacer" if self.kind == "spacer" else f"original_{self.kind}"
        name = str(row) if row is not None else say(kept)
        return Proposal(token, name, said(found.messages), found.report.verdict)


def advice(selection: Selection, position: str, catalogue: Catalogue) -> Advice | None:
    """Return what would suit one axle of a build; ``None`` when nothing is changed there."""
    build = resolve(selection, catalogue)
    if position not in POSITIONS or not isinstance(build, Build):
        return None
    row = next((row for row in build.axles if row.position == position and row.changed), None)
    if row is None:
        return None
    parts = mounted(row)
    spacers = Candidates(position, "spacer", selectors.spacers_for(catalogue, row.axle))
    tyres = Candidates(position, "tyre", suggest.tyres_for(row.axle, row.wheel, catalogue))
    return Advice(
        position=position,
        mends=_mends(row, parts, spacers, tyres, catalogue),
        spacers=_spacers(row, parts, spacers),
        tyres=_tyres(row, parts, tyres),
    )


def _mends(
    row: AxleBuild, parts: Mounted, spacers: Candidates, tyres: Candidates, catalogue: Catalogue
) -> tuple[Proposal, ...]:
    """Return single changes that turn a no into a fit that nothing forbids."""
    wheels = Candidates(row.position, "wheel", selectors.wheels_for(catalogue, row.axle))
    found = fitment.single_changes(
        *parts, wheels=wheels.data, tyres=tyres.data, spacers=[None, *spacers.data], most=MOST
    )
    by_kind = {candidates.kind: candidates for candidates in (wheels, tyres, spacers)}
    return tuple(by_kind[each.kind].proposal(each) for each in found if each.kind in by_kind)


def _spacers(row: AxleBuild, parts: Mounted, spacers: Candidates) -> tuple[Proposal, ...]:
    """Return the spacers that bring the tyre nearest to the arch, without the one that is chosen."""
    axle, wheel, tyre, _spacer = parts
    if not spacers.data:
        return ()
    found = fitment.suggest_spacers(axle, wheel, tyre, spacers.data, most=MOST + 1)
    chosen = row.token("spacer") if row.spacer else ""
    return tuple(p for p in map(spacers.proposal, found) if p.token != chosen)[:MOST]


def _tyres(row: AxleBuild, parts: Mounted, tyres: Candidates) -> tuple[Proposal, ...]:
    """Return the tyres nearest to the original circumference, without the one that is chosen."""
    axle, wheel, _tyre, spacer = parts
    if not tyres.data:
        return ()
    found = fitment.suggest_tyres(axle, wheel, tyres.data, spacer, most=MOST + 1)
    chosen = row.token("tyre") if row.tyre else ""
    return tuple(p for p in map(tyres.proposal, found) if p.token != chosen)[:MOST]
