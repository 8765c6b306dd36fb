"""The usual cautions, as data: shown wherever wheels, tyres or spacers are specified."""

from dataclasses import dataclass

from .parts import Axle, Spacer
from .report import FitReport
from .threads import preload_n
from .wording import plain

OILED_NUT_FACTOR = 0.12  # lubricated threads, common practice, no source: about 0.10 to 0.15


@dataclass(frozen=True)
class Caution:
    """One caution: `id` for the page to place it, `where` it belongs, the text to show."""

    id: str
    where: str
    text: str


_ALWAYS = (
    Caution(
        "advice",
        "verdict",
        "This verdict is advice to a competent fitter, not a certificate. Offer up wheel and tyre, turn them"
        " by hand through full lock and full travel, and measure before driving.",
    ),
    Caution(
        "mating_faces",
        "assembly",
        "Clean hub, spacer and wheel to bare metal. A thin film of copper-based anti-seize on the mating"
        " faces only: never on threads or seats, where it changes what the torque does.",
    ),
    Caution(
        "recheck",
        "handover",
        "Check the tightness of every wheel fastener again after 50 to 100 km, with a torque wrench.",
    ),
    Caution(
        "insurer",
        "handover",
        "Wheels, tyres, spacers and a changed track are modifications: the keeper tells the insurer, and has"
        " them approved or entered where the law asks for it.",
    ),
)


def cautions(
    report: FitReport, axle: Axle | None = None, spacer: Spacer | None = None
) -> tuple[Caution, ...]:
    """Return the cautions that belong to a fit, in the order of the work."""
    found = [_ALWAYS[0], _torque(axle), _ALWAYS[1]]
    if spacer is not None:
        found.append(_spacer(spacer))
    if report.derived["track_change_mm"]:
        found.append(
            Caution(
                "track",
                "specification",
                f"The track changes by {plain(report.derived['track_change_mm'] or 0)} mm. Local codes on"
                " track and wheel cover rule, whatever is computed here.",
            )
        )
    if any(row.verdict in ("measure", "unknown") for row in report.checks):
        found.append(
            Caution(
                "measure",
                "verdict",
                "Some checks could not be decided from the data: measure on the vehicle what they name.",
            )
        )
    return (*found, *_ALWAYS[2:])


def _torque(axle: Axle | None) -> Caution:
    text = (
        "By hand, then a gun at low torque, then crosswise with a torque wrench to the vehicle maker's figure"
    )
    if axle is None or axle.torque_nm is None:
        return Caution("torque", "assembly", f"{text}; it is not known here, look it up.")
    text += f" ({plain(axle.torque_nm)} N m)."
    ratio = preload_n(1, OILED_NUT_FACTOR, 10) / preload_n(1, axle.nut_factor, 10)
    return Caution(
        "torque", "assembly", f"{text} Oiled threads would be drawn about {plain(ratio)} times as hard by it."
    )


def _spacer(spacer: Spacer) -> Caution:
    own = (
        "Its own bolts are tightened and checked before the wheel goes on."
        if spacer.kind == "bolt_on"
        else "It always brings longer fasteners; never use the original ones with it."
    )
    return Caution(
        "spacer",
        "specification",
        f"One spacer per side, the same on both sides of the axle. {own} Some countries forbid spacers or ask"
        " for approval: local codes rule.",
    )
