"""The usual cautions, as data: shown wherever wheels, tyres or spacers are specified."""

from dataclasses import dataclass

from .parts import Axle, Spacer
from .report import FitReport
from .said import Message, message, told
from .threads import preload_n

OILED_NUT_FACTOR = 0.12  # lubricated threads, common practice, no source: about 0.10 to 0.15


@dataclass(frozen=True)
class Caution:
    """One caution: `id` for the page to place it, `where` it belongs, the message to show."""

    id: str
    where: str
    message: Message

    @property
    def text(self) -> str:
        """The caution in English."""
        return told((self.message,))


def _usual(name: str, where: str) -> Caution:
    return Caution(name, where, message(f"caution.{name}"))


def cautions(
    report: FitReport, axle: Axle | None = None, spacer: Spacer | None = None
) -> tuple[Caution, ...]:
    """Return the cautions that belong to a fit, in the order of the work."""
    found = [_usual("advice", "verdict"), _torque(axle), _usual("mating_faces", "assembly")]
    if spacer is not None:
        kind = "bolt_on" if spacer.kind == "bolt_on" else "slip_on"
        found.append(Caution("spacer", "specification", message(f"caution.spacer_{kind}")))
    if change := report.derived["track_change_mm"]:
        found.append(Caution("track", "specification", message("caution.track", change_mm=change)))
    if any(row.verdict in ("measure", "unknown") for row in report.checks):
        found.append(_usual("measure", "verdict"))
    return (*found, _usual("recheck", "handover"), _usual("insurer", "handover"))


def _torque(axle: Axle | None) -> Caution:
    if axle is None or axle.torque_nm is None:
        return Caution("torque", "assembly", message("caution.torque_unknown"))
    ratio = preload_n(1, OILED_NUT_FACTOR, 10) / preload_n(1, axle.nut_factor, 10)
    said = message("caution.torque", torque_nm=axle.torque_nm, oiled_factor=ratio)
    return Caution("torque", "assembly", said)
