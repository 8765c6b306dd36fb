"""The fit of an axle in a line or two for people."""

from __future__ import annotations

from configurator import fitment
from configurator.catalogue.models import CentringRing
from configurator.fitment.said import message

from .build import AxleBuild
from .hardware import Piece, not_stocked


def headline(row: AxleBuild, report: fitment.FitReport, pieces: list[Piece]) -> fitment.Messages:
    """Return the fit in a line or two for people."""
    worst = next((check for check in report.checks if check.verdict == "no"), None)
    if worst is not None:
        return (message("headline.no"), *worst.messages)
    found = (_stance(row, report), _adds(pieces), _to_measure(report), *_lacking(report, pieces))
    return tuple(one for one in found if one is not None)


def _lacking(report: fitment.FitReport, pieces: list[Piece]) -> fitment.Messages:
    """Say which hardware the fit needs that nobody can add, for want of it in the catalogue."""
    lacking = not_stocked(report, pieces)
    if not lacking:
        return ()
    return (message("headline.lacking"), *(one for need in lacking for one in need.messages))


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
    return message(f"headline.{'_'.join(dict.fromkeys(kinds))}", **figures) if kinds else None


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
