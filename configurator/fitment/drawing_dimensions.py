"""The dimension lines of the cross-section: gaps with their verdicts, widths, depths, the diameter."""

from .defaults import INCH_MM, RIM_FLANGE_MM
from .drawing_canvas import INK, QUIET, VERDICT_INK
from .drawing_frame import Frame
from .drawing_shapes import (
    Rim,
    hub_radius_mm,
    inside_line,
    nearest_pair,
)


def _gap(frame: Frame, name: str, a: float, b: float, what: str, anchor: str) -> None:
    """One gap of the top row, between two faces, with its verdict in words."""
    c, row = frame.c, frame.report.check(name)
    ink, level = VERDICT_INK[row.verdict], frame.arch + 74 / frame.c.scale
    for y in (a, b):
        c.line("extension", (y, frame.tread - 30), (y, level + 4), stroke=ink, stroke_width="0.8")
    c.arrows((min(a, b), level), (max(a, b), level), ink)
    text = frame.say(what, gap_mm=abs(a - b), verdict=row.verdict)
    x = 20.0 if anchor == "start" else c.width - 20
    # One above the other: in some languages both are long.
    y = c.y(level) - (9 if anchor == "end" else 27)
    c.write(x, y, text, text_anchor=anchor, fill=ink, font_weight="600")


def widths(frame: Frame, rim: Rim) -> None:
    """Draw the gaps to arch and strut, and the section width."""
    inner = frame.centre - frame.half, frame.centre + frame.half
    row = frame.report.check("outboard_position")
    if frame.axle.arch_lip_mm is not None and row.value is not None:
        past = row.value > frame.axle.arch_lip_mm
        what = "past_arch" if past else "to_arch"
        _gap(frame, "outboard_position", row.value, frame.axle.arch_lip_mm, what, "end")
    row = frame.report.check("inboard_clearance")
    if frame.axle.strut_face_mm is not None and row.value is not None:
        face = frame.centre - max(frame.half, rim.width_in * INCH_MM / 2 + RIM_FLANGE_MM)
        what = "to_strut" if face > frame.axle.strut_face_mm else "into_strut"
        _gap(frame, "inboard_clearance", face, frame.axle.strut_face_mm, what, "start")
    level = frame.arch + 44 / frame.c.scale
    frame.c.arrows((inner[0], level), (inner[1], level), INK)
    text = frame.say("width", section_mm=2 * frame.half)
    frame.c.write(frame.c.x(frame.centre), frame.c.y(level) - 6, text, text_anchor="middle")


def depths(frame: Frame) -> None:
    """Draw spacer, offset and change of track, below the axis."""
    c = frame.c
    first, second = -22 / c.scale, -48 / c.scale
    c.line("extension", (0, 0), (0, second - 3), stroke=INK, stroke_width="0.8")
    if frame.spacer:
        c.line("extension", (frame.s, 0), (frame.s, first - 3), stroke=INK, stroke_width="0.8")
        c.arrows((0, first), (frame.s, first), INK)
        c.write(c.x(frame.s) + 22, c.y(first) + 5, frame.say("spacer", spacer_mm=frame.s))
    offset = -frame.centre
    c.line(
        "centreline",
        (frame.centre, frame.tread),
        (frame.centre, second - 3),
        stroke=QUIET,
        stroke_width="0.9",
        stroke_dasharray="10 3 2 3",
    )
    c.arrows((min(frame.centre, 0), second), (max(frame.centre, 0), second), INK)
    x = c.x(max(frame.centre, 0)) + (10 if abs(offset) * c.scale >= 22 else 22)
    c.write(x, c.y(second) + 5, frame.say("offset", offset_mm=offset))
    change = frame.report.derived["track_change_mm"]
    if change is not None:
        grown = abs(change) >= 0.5
        text = frame.say("track", change_mm=change) if grown else frame.say("track_same")
        c.write(20, c.y(second) + 5, text)


def brake_gap(frame: Frame, rim: Rim) -> None:
    """Draw the least gap between brake and wheel."""
    row = frame.report.check("brake_clearance")
    inside = inside_line(frame.wheel, rim, frame.s, hub_radius_mm(frame.axle))
    envelope = [(y, r) for r, y in frame.axle.brake_envelope_mm or ()]
    pair = nearest_pair(envelope, inside)
    if row.value is None or not pair:
        return
    c, ink = frame.c, VERDICT_INK[row.verdict]
    c.line("gap", *pair, stroke=ink, stroke_width="2.4")
    text = frame.say("to_brake", gap_mm=row.value, verdict=row.verdict)
    # Left of the brake and below the barrel nothing else is drawn.
    x, y = c.x(min(p[0] for p in envelope)) - 14, c.y(pair[0][1]) + 30
    c.path(
        "leader",
        f"M{c.x(pair[0][0]):.1f},{c.y(pair[0][1]):.1f} L{x + 4:.1f},{y - 8:.1f}",
        {"stroke": ink, "stroke-width": "0.8"},
    )
    anchor = "end" if x > 220 else "start"
    c.write(x if x > 220 else 20, y, text, text_anchor=anchor, fill=ink, font_weight="600")


def diameter(frame: Frame) -> None:
    """Draw half the overall diameter."""
    c = frame.c
    at = frame.centre + frame.half + 16
    if frame.axle.arch_lip_mm is not None:
        at = max(at, frame.axle.arch_lip_mm + 12)
    c.arrows((at, 0), (at, frame.tread), QUIET)
    c.line("extension", (frame.centre, frame.tread), (at + 4, frame.tread), stroke=QUIET, stroke_width="0.8")
    x, y = c.x(at) - 6, c.y(frame.tread * 0.3)
    text = frame.say("diameter", diameter_mm=2 * frame.tread)
    c.write(x, y, text, text_anchor="middle", fill=QUIET, transform=f"rotate(-90 {x:.1f} {y:.1f})")
