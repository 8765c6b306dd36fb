"""The hardware that the fit of an axle asks for: bolts, locking bolts, rings.

The bolts nobody orders in time: the length comes from the fit, the seat from the wheel, the finish is
the stocked one nearest to the wheel's own colour, and each new wheel gets one locking bolt.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from configurator import fitment
from configurator.catalogue.models import CentringRing, Fastener, Wheel
from configurator.colour import delta_e_2000, hex_to_lab

from .build import AxleBuild
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


BARE_METAL_HEX = "#b9bdc1"
SAME_MM = 0.05
NEAR_ENOUGH_MM = 2.5


@dataclass
class Piece:
    """Hardware that comes along: a catalogue part, how many, for which choice and why."""

    part: Fastener | CentringRing
    quantity: int
    choice: tuple[str, str]
    kind: str
    why: str


@dataclass(frozen=True)
class Wanted:
    """The bolt or nut to look for: shank in mm (``None`` for nuts) and seat."""

    shank_mm: float | None
    seat: str


def wanted_fastener(row: AxleBuild, report: fitment.FitReport) -> Wanted:
    """Return what fitment asks for; a new wheel that asks for nothing still gets bolts of its finish."""
    need = next((need for need in report.needs if need.what == "fastener"), None)
    sizes = dict(need.numbers) if need else {}
    shank = sizes.get("shank_mm", row.axle.original_shank_mm)
    seat = sizes.get("seat") or (row.wheel.seat if row.wheel else "") or row.axle.seat
    return Wanted(None if shank is None else float(shank), str(seat))


def stocked_fastener(row: AxleBuild, wanted: Wanted, catalogue: Catalogue) -> Fastener | None:
    """Return the stocked bolt or nut nearest to what is needed, in the finish nearest to the wheel's."""
    fitting_ones = [f for f in catalogue.fasteners.values() if not f.locking and _matches(f, row, wanted)]
    return min(fitting_ones, key=lambda f: _rank(f, row, wanted), default=None)


def _matches(stocked: Fastener, row: AxleBuild, wanted: Wanted) -> bool:
    same = stocked.kind == row.axle.fastener and stocked.thread == row.axle.thread
    return same and stocked.seat == wanted.seat and _gap_mm(stocked, wanted) <= NEAR_ENOUGH_MM


def _gap_mm(stocked: Fastener, wanted: Wanted) -> float:
    """How far the stocked length is off; nuts have none."""
    if stocked.kind == "nut":
        return 0.0
    if stocked.shank_mm is None or wanted.shank_mm is None:
        return math.inf
    return abs(stocked.shank_mm - wanted.shank_mm)


def _rank(stocked: Fastener, row: AxleBuild, wanted: Wanted) -> tuple[float, bool, float, str]:
    """Length first (the longer of two equals), then the nearest colour."""
    shorter = (stocked.shank_mm or 0.0) < (wanted.shank_mm or 0.0)
    return _gap_mm(stocked, wanted), shorter, _colour_gap(stocked, row.wheel), stocked.code


def _colour_gap(stocked: Fastener, wheel: Wheel | None) -> float:
    wanted = wheel.finish.hex if wheel else BARE_METAL_HEX
    return float(delta_e_2000(hex_to_lab(stocked.finish.hex), hex_to_lab(wanted)))


def bolts_for(row: AxleBuild, stocked: Fastener, catalogue: Catalogue) -> list[Piece]:
    """Return the bolts for the axle; with new wheels one of each wheel's bolts is a locking one."""
    kind = "spacer" if row.spacer else "wheel"
    choice = (row.token(kind), str(getattr(row, kind)))
    number = (row.axle.bolt_count or 0) * row.axle.wheels
    locking = _locking_twin(stocked, catalogue) if row.wheel and row.axle.bolt_count else None
    why = _why(row, stocked)
    if locking is None:
        return [Piece(stocked, number, choice, "fastener", why)]
    wheel_choice = (row.token("wheel"), str(row.wheel))
    return [
        Piece(stocked, number - row.axle.wheels, choice, "fastener", why),
        Piece(locking, row.axle.wheels, wheel_choice, "fastener", say("locking_each")),
    ]


def _why(row: AxleBuild, stocked: Fastener) -> str:
    if stocked.shank_mm is not None and row.spacer and row.axle.original_shank_mm is not None:
        return say(
            "shank_sum",
            shank_mm=stocked.shank_mm,
            original_mm=row.axle.original_shank_mm,
            spacer_mm=row.spacer.thickness_mm,
        )
    return say("to_the_wheel")


def _locking_twin(stocked: Fastener, catalogue: Catalogue) -> Fastener | None:
    """Return the locking piece of the same thread, length, seat and finish."""
    return next(
        (
            other
            for other in catalogue.fasteners.values()
            if other.locking
            and (other.kind, other.thread, other.shank_mm, other.seat, other.finish_id)
            == (stocked.kind, stocked.thread, stocked.shank_mm, stocked.seat, stocked.finish_id)
        ),
        None,
    )


def rings_for(row: AxleBuild, report: fitment.FitReport, catalogue: Catalogue) -> list[Piece]:
    """Return the centring rings that fitment asks for, in wheel and spacer, as far as they are stocked."""
    found = (_ring(row, need, catalogue) for need in report.needs if need.what == "centring_ring")
    return [piece for piece in found if piece is not None]


def _ring(row: AxleBuild, need: fitment.Need, catalogue: Catalogue) -> Piece | None:
    kind = "spacer" if need.messages[0].id == "need.ring_spacer" else "wheel"
    part = getattr(row, kind)
    stocked = next((ring for ring in catalogue.rings.values() if _fills(ring, need)), None)
    if part is None or stocked is None:
        return None
    said = "ring_fills" if kind == "wheel" else "ring_fills_spacer"
    why = say(said, outer_mm=stocked.outer_mm, inner_mm=stocked.inner_mm)
    return Piece(stocked, row.axle.wheels, (row.token(kind), str(part)), "ring", why)


def _fills(ring: CentringRing, need: fitment.Need) -> bool:
    sizes = dict(need.numbers)
    return _same(ring.outer_mm, sizes["outer_mm"]) and _same(ring.inner_mm, sizes["inner_mm"])


def not_stocked(report: fitment.FitReport, pieces: list[Piece]) -> tuple[fitment.Need, ...]:
    """Return the fasteners and rings that the fit needs and none of the pieces is."""
    rings = [piece.part for piece in pieces if isinstance(piece.part, CentringRing)]
    fastened = any(isinstance(piece.part, Fastener) for piece in pieces)
    return tuple(
        need
        for need in report.needs
        if (need.what == "fastener" and not fastened)
        or (need.what == "centring_ring" and not any(_fills(ring, need) for ring in rings))
    )


def _same(one: float, other: float | str) -> bool:
    return abs(one - float(other)) <= SAME_MM
