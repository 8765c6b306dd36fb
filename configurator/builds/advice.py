"""What would suit an axle better: spacers towards the arch, tyres near the original, a change that mends.

The fitment package ranks plain data; here its answers find back to the rows they came from, so that a
customer can take one by a button.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from configurator import fitment
from configurator.catalogue import fitting, selectors
from configurator.catalogue.literals import part_code
from configurator.fitment.said import message
from configurator.words import joined, said

from . import changing, offers, suggest
from .axles import Mounted, mounted
from .build import AxleBuild, Build
from .evaluate import evaluate
from .resolve import resolve
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
    """What would suit one axle; no proposal stands twice.

    ``mends`` is empty unless the present fit says no. ``wheels_that_fit`` counts the whole stock for this
    axle, each wheel with its best tyre and no spacer, so that "nothing suits" is said only when it is so.
    """

    position: str
    mends: tuple[Proposal, ...]
    spacers: tuple[Proposal, ...]
    tyres: tuple[Proposal, ...]
    wheels_that_fit: int = 0

    @property
    def proposals(self) -> tuple[Proposal, ...]:
        """All of them."""
        return (*self.mends, *self.spacers, *self.tyres)


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
    mends = _mends(build, row, parts, spacers, tyres, catalogue)
    known = {proposal.token for proposal in mends}
    stock = offers.wheel_offers(row.axle, None, catalogue).values()
    return Advice(
        position=position,
        mends=mends,
        spacers=tuple(each for each in _spacers(row, parts, spacers) if each.token not in known),
        tyres=tuple(each for each in _tyres(row, parts, tyres) if each.token not in known),
        wheels_that_fit=sum(offer.verdict == "fits" for offer in stock),
    )


def _mends(
    build: Build,
    row: AxleBuild,
    parts: Mounted,
    spacers: Candidates,
    tyres: Candidates,
    catalogue: Catalogue,
) -> tuple[Proposal, ...]:
    """Return single changes that turn the axle's no into a fit that nothing forbids.

    What they say is true of the whole build: a change that brings a new conflict is left out, one after which
    the build still does not fit says so, and stands behind those that mend all.
    """
    wheels = Candidates(row.position, "wheel", selectors.wheels_for(catalogue, row.axle))
    found = fitment.single_changes(
        *parts, wheels=wheels.data, tyres=tyres.data, spacers=[None, *spacers.data], most=MOST
    )
    by_kind = {candidates.kind: candidates for candidates in (wheels, tyres, spacers)}
    proposals = [by_kind[each.kind].proposal(each) for each in found if each.kind in by_kind]
    before = {conflict.choices for conflict in evaluate(build.selection, catalogue).conflicts}
    whole, here_only = [], []
    for proposal in proposals:
        taken = changing.Edit(add=(proposal.token,))
        after = evaluate(changing.apply(build.selection, taken, catalogue), catalogue)
        if {conflict.choices for conflict in after.conflicts} - before:
            continue
        if after.verdict == "no":
            here_only.append(_of_this_axle(proposal))
        else:
            whole.append(proposal)
    return (*whole, *here_only)


def _of_this_axle(proposal: Proposal) -> Proposal:
    """Say beside a proposal that the build needs another change as well."""
    return replace(proposal, reason=joined((proposal.reason, said((message("mends.here_only"),)))))


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
