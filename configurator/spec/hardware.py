"""Fitment of one axle, and the hardware that fitment asks for: bolts, locking bolts, rings.

The bolts nobody orders in time: the length comes from the fit, the seat from the wheel, the finish is
the stocked one nearest to the wheel's own colour, and each new wheel gets one locking bolt.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from configurator import fitment
from configurator.catalogue import selectors
from configurator.catalogue.models import CentringRing, Fastener, Wheel
from configurator.colour import delta_e_2000, hex_to_lab

from .evaluation import AxleFit, FitRow
from .resolve import AxleBuild

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

BARE_METAL_HEX = "#b9bdc1"
SAME_MM = 0.05


@dataclass
class Piece:
    """Hardware that comes along: a catalogue part, how many, for which choice and why."""

    part: Fastener | CentringRing
    quantity: int
    choice: tuple[str, str]
    kind: str
    why: str


@dataclass
class AxleHardware:
    """The axle's fit with the hardware chosen for it."""

    fit: AxleFit
    pieces: list[Piece] = field(default_factory=list)
    cautions: tuple[str, ...] = ()

    @property
    def rings(self) -> bool:
        """Whether centring rings come along."""
        return any(piece.kind == "ring" for piece in self.pieces)


def original_wheel(axle: fitment.Axle) -> fitment.Wheel:
    """Return the wheel the vehicle came with, as far as the axle's data tell.

    Its bolt holes and bore are the hub's and it carries the axle by approval; its inside profile is
    not known.
    """
    known = axle.original_wheel
    return fitment.Wheel(
        width_in=known.width_in if known else None,
        diameter_in=known.diameter_in if known else None,
        offset_mm=known.offset_mm if known else None,
        bolt_count=axle.bolt_count,
        bolt_circle_mm=axle.bolt_circle_mm,
        bore_mm=axle.spigot_diameter_mm,
        seat=axle.seat,
        seat_thickness_mm=axle.original_seat_thickness_mm,
        load_rating_kg=axle.axle_load_kg / (axle.wheels or 2) if axle.axle_load_kg else None,
        inside_profile_mm=None,
    )


def fit_axle(row: AxleBuild, catalogue: Catalogue) -> AxleHardware:
    """Judge the axle with the best stocked hardware and say what hardware that is."""
    axle = selectors.axle_data(row.axle)
    wheel = selectors.wheel_data(row.wheel) if row.wheel else original_wheel(axle)
    tyre = selectors.tyre_data(row.tyre) if row.tyre else axle.original_tyre
    spacer = selectors.spacer_data(row.spacer) if row.spacer else None
    if not row.wheel and not row.spacer:
        report = fitment.check_fit(axle, wheel, tyre, spacer, _original_fastener(axle))
        return AxleHardware(_axle_fit(row, report))
    report = fitment.check_fit(axle, wheel, tyre, spacer, None)
    stocked = _fastener(row, report, catalogue)
    pieces = _rings(row, report, catalogue)
    if stocked is not None:
        report = fitment.check_fit(axle, wheel, tyre, spacer, selectors.fastener_data(stocked))
        pieces = _bolts(row, stocked, catalogue) + pieces
    return AxleHardware(_axle_fit(row, report), pieces)


def _original_fastener(axle: fitment.Axle) -> fitment.Fastener:
    return fitment.Fastener(
        shank_mm=axle.original_shank_mm,
        seat=axle.seat,
        thread=axle.thread,
        property_class=axle.property_class,
    )


def _fastener(row: AxleBuild, report: fitment.FitReport, catalogue: Catalogue) -> Fastener | None:
    """Return the stocked bolt or nut nearest to what is needed, in the finish nearest to the wheel's."""
    need = next((need for need in report.needs if need.what == "fastener"), None)
    if need is None:
        return None
    fitting = [f for f in catalogue.fasteners.values() if not f.locking and _matches(f, row, need)]
    return min(fitting, key=lambda f: _rank(f, row, need), default=None)


def _matches(stocked: Fastener, row: AxleBuild, need: fitment.Need) -> bool:
    same = stocked.kind == row.axle.fastener and stocked.thread == row.axle.thread
    return same and stocked.seat == need.seat and _near_enough(stocked, need)


def _near_enough(stocked: Fastener, need: fitment.Need) -> bool:
    """Bolts are stocked in steps; two steps off is no longer the bolt that was asked for."""
    if stocked.shank_mm is None or need.shank_mm is None:
        return stocked.kind == "nut"
    return abs(stocked.shank_mm - need.shank_mm) <= 2.5


def _rank(stocked: Fastener, row: AxleBuild, need: fitment.Need) -> tuple[float, float, str]:
    """Length first (the longer of two equals), then the nearest colour."""
    off = 0.0
    if stocked.shank_mm is not None and need.shank_mm is not None:
        off = abs(stocked.shank_mm - need.shank_mm) - (0.01 if stocked.shank_mm > need.shank_mm else 0.0)
    return off, _colour_gap(stocked, row.wheel), stocked.code


def _colour_gap(stocked: Fastener, wheel: Wheel | None) -> float:
    wanted = wheel.finish.hex if wheel else BARE_METAL_HEX
    return float(delta_e_2000(hex_to_lab(stocked.finish.hex), hex_to_lab(wanted)))


def _bolts(row: AxleBuild, stocked: Fastener, catalogue: Catalogue) -> list[Piece]:
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
        Piece(locking, row.axle.wheels, wheel_choice, "fastener", "one locking piece on each new wheel"),
    ]


def _why(row: AxleBuild, stocked: Fastener) -> str:
    if stocked.shank_mm is not None and row.spacer and row.axle.original_shank_mm is not None:
        return (
            f"{stocked.shank_mm:g} mm shank: {row.axle.original_shank_mm:g} mm original "
            f"and the {row.spacer.thickness_mm:g} mm spacer"
        )
    return "to the new wheel's seat, length and finish"


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


def _rings(row: AxleBuild, report: fitment.FitReport, catalogue: Catalogue) -> list[Piece]:
    need = next((need for need in report.needs if need.what == "centring_ring"), None)
    if need is None or not row.wheel:
        return []
    choice = (row.token("wheel"), str(row.wheel))
    for ring in catalogue.rings.values():
        if _same(ring.outer_mm, need.outer_mm) and _same(ring.inner_mm, need.inner_mm):
            why = f"fills the wheel's {ring.outer_mm:g} mm bore to the hub's {ring.inner_mm:g} mm"
            return [Piece(ring, row.axle.wheels, choice, "ring", why)]
    return []


def _same(one: float, other: float | None) -> bool:
    return other is not None and abs(one - other) <= SAME_MM


def _axle_fit(row: AxleBuild, report: fitment.FitReport) -> AxleFit:
    answer = report.as_dict()
    return AxleFit(
        position=row.position,
        verdict=report.verdict,
        headline=headline(row, answer),
        checks=tuple(FitRow.model_validate(check) for check in answer["checks"]),
        needs=tuple(answer["needs"]),
        derived=answer["derived"],
    )


def headline(row: AxleBuild, answer: dict) -> str:
    """Return the fit in a line for people."""
    worst = next((c for c in answer["checks"] if c["verdict"] == "no"), None)
    if worst is not None:
        return f"Does not fit: {worst['message']}"
    said = [_stance(row, answer["derived"])]
    said += [
        need["message"][:1].upper() + need["message"][1:].rstrip(".") + ", which we add."
        for need in answer["needs"]
        if need["what"] != "measure"
    ]
    measured = sum(check["verdict"] in ("measure", "unknown") for check in answer["checks"])
    if measured:
        said.append(f"We measure {measured} {'point' if measured == 1 else 'points'} at the vehicle first.")
    return " ".join(part for part in said if part)


def _stance(row: AxleBuild, derived: dict) -> str:
    """Say where the tyre's face stands against the arch, in whole millimetres."""
    if row.axle.arch_lip_mm is None or derived.get("outer_face_mm") is None:
        return ""
    inside = round(row.axle.arch_lip_mm - derived["outer_face_mm"])
    if inside == 0:
        return "Sits flush with the arch."
    return f"Sits {inside} mm inside the arch." if inside > 0 else f"Stands {-inside} mm out of the arch."
