"""Fitment of one axle, and the hardware that fitment asks for: bolts, locking bolts, rings.

The bolts nobody orders in time: the length comes from the fit, the seat from the wheel, the finish is
the stocked one nearest to the wheel's own colour, and each new wheel gets one locking bolt.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from configurator import fitment
from configurator.catalogue import fitting
from configurator.catalogue.models import CentringRing, Fastener, Wheel
from configurator.colour import delta_e_2000, hex_to_lab
from configurator.fitment.said import message
from configurator.words import said

from .evaluation import AxleFit, FitCaution, FitRow
from .resolve import AxleBuild, Build
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

BARE_METAL_HEX = "#b9bdc1"
SAME_MM = 0.05
NEAR_ENOUGH_MM = 2.5
MOST_KEPT = 2000


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


@dataclass
class AxleHardware:
    """The axle's fit with the hardware chosen for it."""

    fit: AxleFit
    pieces: list[Piece] = field(default_factory=list)

    @property
    def cautions(self) -> tuple[str, ...]:
        """The axle's cautions in English."""
        return tuple(caution.text for caution in self.fit.cautions)

    @property
    def rings(self) -> bool:
        """Whether centring rings come along."""
        return any(piece.kind == "ring" for piece in self.pieces)


Mounted = tuple[fitment.Axle, fitment.Wheel, fitment.Tyre, fitment.Spacer | None]


def mounted(row: AxleBuild) -> Mounted:
    """Return axle, wheel, tyre and spacer as fitment takes them, the original ones where none is chosen."""
    return (
        fitting.axle_data(row.axle),
        fitting.wheel_data(row.wheel) if row.wheel else fitting.original_wheel_data(row.axle),
        fitting.tyre_data(row.tyre) if row.tyre else fitting.original_tyre_data(row.axle),
        fitting.spacer_data(row.spacer) if row.spacer else None,
    )


def fit_axles(build: Build, catalogue: Catalogue) -> dict[str, AxleHardware]:
    """Judge the axles that are changed, by position.

    The row of the whole vehicle, front against rear circumference, is one for both axles: it stands with the
    rear axle where that is changed, else with the front.
    """
    changed = [row for row in build.axles if row.changed]
    last = changed[-1].position if changed else ""
    return {
        row.position: fitted(row, catalogue, build if row.position == last else None)
        for row in sorted(changed, key=lambda row: row.position)
    }


def pairing(build: Build) -> fitment.Check:
    """Judge the build's tyres, front against rear, by the vehicle's original pairing."""
    tyres = {row.position: _axle_tyres(row) for row in build.axles}
    nothing = fitment.AxleTyres()
    vehicle = fitting.vehicle_data(build.generation)
    return fitment.axle_pairing(vehicle, tyres.get("front", nothing), tyres.get("rear", nothing))


def _axle_tyres(row: AxleBuild) -> fitment.AxleTyres:
    return fitment.AxleTyres(tyre=mounted(row)[2], original_tyre=fitting.original_tyre_data(row.axle))


def fit_axle(row: AxleBuild, catalogue: Catalogue, whole: fitment.Check | None = None) -> AxleHardware:
    """Judge the axle with the best stocked hardware and say what that is; ``whole`` joins the rows."""
    parts = mounted(row)
    if not row.wheel and not row.spacer:
        report = fitment.check_fit(*parts, _original_fastener(parts[0]))
        report = report.joined_by(whole) if whole else report
        return AxleHardware(_axle_fit(row, parts, report, []))
    report = fitment.check_fit(*parts, None)
    stocked = _fastener(row, _wanted(row, report), catalogue)
    pieces = _rings(row, report, catalogue)
    if stocked is not None:
        report = fitment.check_fit(*parts, fitting.fastener_data(stocked))
        pieces = _bolts(row, stocked, catalogue) + pieces
    report = report.joined_by(whole) if whole else report
    return AxleHardware(_axle_fit(row, parts, report, pieces), pieces)


def fitted(row: AxleBuild, catalogue: Catalogue, whole: Build | None = None) -> AxleHardware:
    """Return ``fit_axle``'s answer, made once for a catalogue and the parts; not to be changed.

    With a build given the row of the whole vehicle, which depends on every axle's tyres, joins it.
    """
    parts = [part.code if part else None for part in (row.wheel, row.tyre, row.spacer)]
    parts += [axle.tyre.code if axle.tyre else None for axle in whole.axles] if whole else []
    kept = catalogue.kept("axles fitted", most=MOST_KEPT)
    key = (row.axle.generation.code, row.position, *parts)
    if key not in kept:
        kept[key] = fit_axle(row, catalogue, pairing(whole) if whole else None)
    found: AxleHardware = kept[key]
    return found


def section_svg(row: AxleBuild, catalogue: Catalogue, say: fitment.Say) -> str:
    """Return the axle's cross-section with the hardware that ``fit_axle`` would choose; ``say`` words it."""
    parts = mounted(row)
    fastener: fitment.Fastener | None = _original_fastener(parts[0])
    if row.wheel or row.spacer:
        wanted = _wanted(row, fitment.check_fit(*parts, None))
        stocked = _fastener(row, wanted, catalogue)
        fastener = fitting.fastener_data(stocked) if stocked else None
    return fitment.cross_section_svg(*parts, fitment.check_fit(*parts, fastener), say)


def _original_fastener(axle: fitment.Axle) -> fitment.Fastener:
    return fitment.Fastener(
        shank_mm=axle.original_shank_mm,
        seat=axle.seat,
        thread=axle.thread,
        property_class=axle.property_class,
    )


def _wanted(row: AxleBuild, report: fitment.FitReport) -> Wanted:
    """Return what fitment asks for; a new wheel that asks for nothing still gets bolts of its finish."""
    need = next((need for need in report.needs if need.what == "fastener"), None)
    sizes = dict(need.numbers) if need else {}
    shank = sizes.get("shank_mm", row.axle.original_shank_mm)
    seat = sizes.get("seat") or (row.wheel.seat if row.wheel else "") or row.axle.seat
    return Wanted(None if shank is None else float(shank), str(seat))


def _fastener(row: AxleBuild, wanted: Wanted, catalogue: Catalogue) -> Fastener | None:
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


def _rings(row: AxleBuild, report: fitment.FitReport, catalogue: Catalogue) -> list[Piece]:
    need = next((need for need in report.needs if need.what == "centring_ring"), None)
    if need is None or not row.wheel:
        return []
    choice = (row.token("wheel"), str(row.wheel))
    sizes = dict(need.numbers)
    for ring in catalogue.rings.values():
        if _same(ring.outer_mm, sizes["outer_mm"]) and _same(ring.inner_mm, sizes["inner_mm"]):
            why = say("ring_fills", outer_mm=ring.outer_mm, inner_mm=ring.inner_mm)
            return [Piece(ring, row.axle.wheels, choice, "ring", why)]
    return []


def _same(one: float, other: float | str) -> bool:
    return abs(one - float(other)) <= SAME_MM


def _axle_fit(row: AxleBuild, parts: Mounted, report: fitment.FitReport, pieces: list[Piece]) -> AxleFit:
    answer = report.as_dict()
    return AxleFit(
        position=row.position,
        verdict=report.verdict,
        headline=said(headline(row, report, pieces)),
        checks=tuple(_row(check) for check in report.checks),
        needs=tuple(answer["needs"]),
        derived=answer["derived"],
        cautions=_cautions(report, parts[0], parts[3]),
    )


def _row(check: fitment.Check) -> FitRow:
    """Return a check's row with its message as a text that keeps its values."""
    plain = {name: value for name, value in check.as_dict().items() if name in FitRow.model_fields}
    return FitRow.model_validate({**plain, "message": said(check.messages)})


def headline(row: AxleBuild, report: fitment.FitReport, pieces: list[Piece]) -> fitment.Messages:
    """Return the fit in a line or two for people."""
    worst = next((check for check in report.checks if check.verdict == "no"), None)
    if worst is not None:
        return (message("headline.no"), *worst.messages)
    found = (_stance(row, report), _adds(pieces), _to_measure(report))
    return tuple(one for one in found if one is not None)


def _adds(pieces: list[Piece]) -> fitment.Message | None:
    """Say which hardware comes along."""
    kinds: list[str] = []
    figures: dict[str, float] = {}
    for piece in pieces:
        if isinstance(piece.part, CentringRing):
            kinds.append("rings")
            figures["inner_mm"] = piece.part.inner_mm
        elif not piece.part.locking:
            kinds.append(f"{piece.part.kind}s")
            if piece.part.shank_mm:
                figures["shank_mm"] = piece.part.shank_mm
    return message(f"headline.{'_'.join(kinds)}", **figures) if kinds else None


def _to_measure(report: fitment.FitReport) -> fitment.Message | None:
    number = sum(check.verdict in ("measure", "unknown") for check in report.checks)
    if not number:
        return None
    return message("headline.measure_one") if number == 1 else message("headline.measure", point_count=number)


def _stance(row: AxleBuild, report: fitment.FitReport) -> fitment.Message | None:
    """Say where the tyre's face stands against the arch, in whole millimetres."""
    face = report.derived["outer_face_mm"]
    if row.axle.arch_lip_mm is None or face is None:
        return None
    inside = round(row.axle.arch_lip_mm - face)
    if inside == 0:
        return message("headline.flush")
    return (
        message("headline.inside", inside_mm=inside)
        if inside > 0
        else message("headline.out", out_mm=-inside)
    )


def _cautions(
    report: fitment.FitReport, axle: fitment.Axle, spacer: fitment.Spacer | None
) -> tuple[FitCaution, ...]:
    return tuple(
        FitCaution(id=caution.id, where=caution.where, text=said([caution.message]))
        for caution in fitment.cautions(report, axle, spacer)
    )
