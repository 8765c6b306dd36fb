"""The fit of one axle, judged with the hardware that it needs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from configurator import fitment
from configurator.catalogue import fitting
from configurator.words import said

from .build import AxleBuild, Build
from .evaluation import AxleFit, FitCaution, FitRow
from .hardware import Piece, bolts_for, rings_for, stocked_fastener, wanted_fastener
from .headlines import headline
from .records import FitNeed

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


MOST_KEPT = 2000


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
    stocked = stocked_fastener(row, wanted_fastener(row, report), catalogue)
    pieces = rings_for(row, report, catalogue)
    if stocked is not None:
        report = fitment.check_fit(*parts, fitting.fastener_data(stocked))
        pieces = bolts_for(row, stocked, catalogue) + pieces
    report = report.joined_by(whole) if whole else report
    return AxleHardware(_axle_fit(row, parts, report, pieces), pieces)


def fitted(row: AxleBuild, catalogue: Catalogue, whole: Build | None = None) -> AxleHardware:
    """Return ``fit_axle``'s answer, made once for a catalogue and the parts; not to be changed.

    With a build given the row of the whole vehicle, which depends on every axle's tyres, joins it.
    """
    parts = [part.code if part else None for part in (row.wheel, row.tyre, row.spacer)]
    parts += [axle.tyre.code if axle.tyre else None for axle in whole.axles] if whole else []
    return catalogue.once(
        "axles fitted",
        (row.axle.generation.code, row.position, *parts),
        lambda: fit_axle(row, catalogue, pairing(whole) if whole else None),
        most=MOST_KEPT,
    )


def section_svg(row: AxleBuild, catalogue: Catalogue, say: fitment.Say) -> str:
    """Return the axle's cross-section with the hardware that ``fit_axle`` would choose; ``say`` words it."""
    parts = mounted(row)
    fastener: fitment.Fastener | None = _original_fastener(parts[0])
    if row.wheel or row.spacer:
        wanted = wanted_fastener(row, fitment.check_fit(*parts, None))
        stocked = stocked_fastener(row, wanted, catalogue)
        fastener = fitting.fastener_data(stocked) if stocked else None
    return fitment.cross_section_svg(*parts, fitment.check_fit(*parts, fastener), say)


def _original_fastener(axle: fitment.Axle) -> fitment.Fastener:
    return fitment.Fastener(
        shank_mm=axle.original_shank_mm,
        seat=axle.seat,
        thread=axle.thread,
        property_class=axle.property_class,
    )


def _axle_fit(row: AxleBuild, parts: Mounted, report: fitment.FitReport, pieces: list[Piece]) -> AxleFit:
    answer = report.as_dict()
    return AxleFit(
        position=row.position,
        verdict=report.verdict,
        headline=said(headline(row, report, pieces)),
        checks=tuple(_row(check) for check in report.checks),
        needs=tuple(FitNeed.model_validate(need) for need in answer["needs"]),
        derived=answer["derived"],
        cautions=_cautions(report, parts[0], parts[3]),
    )


def _row(check: fitment.Check) -> FitRow:
    """Return a check's row with its message as a text that keeps its values."""
    plain = {name: value for name, value in check.as_dict().items() if name in FitRow.model_fields}
    return FitRow.model_validate({**plain, "message": said(check.messages)})


def _cautions(
    report: fitment.FitReport, axle: fitment.Axle, spacer: fitment.Spacer | None
) -> tuple[FitCaution, ...]:
    return tuple(
        FitCaution(id=caution.id, where=caution.where, text=said([caution.message]))
        for caution in fitment.cautions(report, axle, spacer)
    )
