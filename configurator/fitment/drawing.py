"""The fit as a cross-section, drawn to scale from the numbers the checks are made of."""

from . import drawing_bodies as bodies
from . import drawing_dimensions as dimensions
from .designation import Tyre
from .drawing_canvas import QUIET, VERDICT_INK
from .drawing_frame import Frame
from .parts import Axle, Spacer, Wheel
from .report import FitReport
from .said import Say, english, told


def cross_section_svg(
    axle: Axle,
    wheel: Wheel,
    tyre: Tyre,
    spacer: Spacer | None,
    report: FitReport,
    say: Say = english,
) -> str:
    """Return the upper half of wheel and hub, cut along the axis, as one SVG; outboard is to the right.

    To scale, with dimension lines in mm whose colour and words follow the report's rows. No scripts and no
    style attributes; every part has a class (`fit-tyre`, `fit-brake`, ...) and works without a style sheet.
    `say` words the labels (ids `section.*`) and the rows' messages; units of lengths are its own.
    """
    return _draw(Frame(axle, wheel, tyre, spacer, report, say))


def _draw(frame: Frame) -> str:
    frame.c.describe(_title(frame), _description(frame))
    frame.c.background()
    bodies.bodywork(frame)
    if frame.rim:
        bodies.tyre(frame, frame.rim)
    bodies.hub(frame)
    if frame.rim:
        bodies.wheel(frame, frame.rim)
    bodies.brake(frame)
    bodies.original(frame)
    if frame.rim:
        dimensions.widths(frame, frame.rim)
        dimensions.depths(frame)
        dimensions.brake_gap(frame, frame.rim)
        dimensions.diameter(frame)
    _heading(frame)
    return frame.c.markup()


def _title(frame: Frame) -> str:
    return frame.say("title", position=frame.axle.position, outcome=frame.report.verdict)


def _parts(frame: Frame) -> str:
    size = frame.say("wheel", **frame.rim._asdict()) if frame.rim else frame.say("wheel_unknown")
    spacer = frame.say("with_spacer", spacer_mm=frame.s) if frame.spacer else frame.say("no_spacer")
    return f"{size}; {frame.tyre.designation}; {spacer}"


def _description(frame: Frame) -> str:
    shown = ("outboard_position", "inboard_clearance", "brake_clearance", "arch_diameter")
    rows = " ".join(told(frame.report.check(name).messages, frame.say_message) for name in shown)
    return f"{_parts(frame)}. {frame.say('scale')} {rows}"


def _heading(frame: Frame) -> None:
    ink = VERDICT_INK[frame.report.verdict]
    frame.c.write(20, 30, _title(frame), font_size="17", font_weight="600", fill=ink)
    frame.c.write(20, 51, _parts(frame), fill=QUIET)
