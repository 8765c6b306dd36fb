"""The bodies of the cross-section: what is there, cut along the axis."""

from typing import Any

from .defaults import INCH_MM
from .drawing_canvas import INK, QUIET
from .drawing_frame import Frame
from .drawing_shapes import (
    Rim,
    brake_outline,
    hub_radius_mm,
    rim_of,
    rim_top,
    tyre_curves,
    wheel_outline,
)


def bodywork(frame: Frame) -> None:
    """Draw the strut, points of the suspension and the arch, as far as they are known."""
    axle, c = frame.axle, frame.c
    top = frame.arch + 34 / c.scale
    fill: dict[str, Any] = {"fill": "#e4e1d8", "stroke": "#6e6a5e", "stroke_width": "1.2"}
    strut, lip = axle.strut_face_mm, axle.arch_lip_mm
    if strut is not None:
        foot = hub_radius_mm(axle) + 30
        c.shape("strut", [(strut - 40, foot), (strut, foot), (strut, top), (strut - 40, top)], **fill)
        c.write(c.x(strut - 20), c.y(foot) - 12, frame.say("strut"), text_anchor="middle", stroke="#e4e1d8")
    for y, r in ((y, r) for r, y in axle.inboard_points_mm or ()):
        c.shape("strut", [(y - 3, r), (y, r - 3), (y + 3, r), (y, r + 3)], **fill)
    if lip is not None:
        panel = [
            (lip - 26, frame.arch + 6),
            (lip - 26, frame.arch),
            (lip, frame.arch),
            (lip, top),
            (lip - 6, top),
        ]
        c.shape("arch", [*panel, (lip - 6, frame.arch + 6)], **fill)
        c.write(c.x(lip) + 6, c.y(frame.arch) + 4, frame.say("arch"), text_anchor="start")


def tyre(frame: Frame, rim: Rim) -> None:
    """Draw the tyre with the air in it and its size."""
    start, curves = tyre_curves(frame.tyre, rim.width_in, frame.centre)
    frame.c.curve("tyre", start, curves, fill="#4b5158", stroke=INK, stroke_width="1.2")
    start, curves = tyre_curves(frame.tyre, rim.width_in, frame.centre, within_mm=9)
    frame.c.curve("air", start, curves, fill="#eef1f3", stroke=INK, stroke_width="0.8")
    height = (frame.tread + frame.tyre.rim_diameter_in * INCH_MM / 2) / 2
    size = frame.tyre.designation.split(" ")[0]
    at = frame.c.x(frame.centre), frame.c.y(height) + 5
    frame.c.write(*at, size, text_anchor="middle", stroke="#eef1f3", font_weight="600")


def hub(frame: Frame) -> None:
    """Draw the hub with its spigot, the spacer on it and the axis."""
    axle, c, edge = frame.axle, frame.c, hub_radius_mm(frame.axle)
    metal: dict[str, Any] = {"fill": "#a7b4c2", "stroke": INK, "stroke_width": "1.2"}
    c.shape("hub", [(-60, 0), (-60, edge * 0.6), (-14, edge * 0.6), (-14, edge), (0, edge), (0, 0)], **metal)
    spigot, height = (axle.spigot_diameter_mm or 0) / 2, axle.spigot_height_mm or 0
    if spigot and height:
        c.shape(
            "hub", [(0, 0), (0, spigot), (height - 2, spigot), (height, spigot - 2), (height, 0)], **metal
        )
    if frame.spacer:
        own = frame.spacer.spigot_height_mm or 0
        bore = (frame.spacer.bore_mm or 2 * spigot or 60) / 2
        ring = (frame.spacer.spigot_diameter_mm or axle.spigot_diameter_mm or 60) / 2
        points = [(0, bore), (0, edge), (frame.s, edge), (frame.s, ring)]
        if own:
            points += [(frame.s + own, ring), (frame.s + own, ring - 5), (frame.s - 2, ring - 5)]
        c.shape(
            "spacer",
            [*points, (frame.s - 2 if own else frame.s, bore)],
            fill="#e8a33d",
            stroke="#7a4d00",
            stroke_width="1.2",
        )
    c.write(c.x(-37), c.y(edge * 0.3) + 5, frame.say("hub"), text_anchor="middle", stroke="#a7b4c2")
    ends = (-75, 0), (min(frame.centre + frame.half, 110), 0)
    c.line("axis", *ends, stroke=QUIET, stroke_width="1", stroke_dasharray="14 4 3 4")


def wheel(frame: Frame, rim: Rim) -> None:
    """Draw the wheel; dashed where its inside is not known."""
    c, known = frame.c, frame.wheel.inside_profile_mm is not None
    outline = wheel_outline(frame.wheel, rim, frame.s, hub_radius_mm(frame.axle))
    line: dict[str, Any] = {"stroke": INK} if known else {"stroke": QUIET, "stroke_dasharray": "3 3"}
    c.shape("wheel", outline, fill="#c9d1d9", stroke_width="1.2", **line)
    if not known:
        y = c.y(rim.diameter_in * INCH_MM / 2 - 58)
        c.write(c.x(frame.centre - rim.width_in * INCH_MM / 2), y, frame.say("inside_unknown"), fill=QUIET)


def brake(frame: Frame) -> None:
    """Draw the space that the brake takes."""
    outline = brake_outline(frame.axle)
    if not outline:
        return
    c = frame.c
    c.shape("brake", outline, fill="#f0c4bd", stroke="#8f2d20", stroke_width="1.2")
    y, z = (sum(p[i] for p in outline) / len(outline) for i in (0, 1))
    c.write(c.x(y), c.y(z) + 5, frame.say("brake"), text_anchor="middle", stroke="#f0c4bd", stroke_width="2")


def original(frame: Frame) -> None:
    """Draw the original wheel and tyre, dashed, with a line that names them."""
    before, tyre = rim_of(frame.axle.original_wheel), frame.axle.original_tyre
    if not before or not tyre:
        return
    dashed: dict[str, Any] = {"stroke": "#1f5fbf", "stroke_width": "1.6", "stroke_dasharray": "6 4"}
    start, curves = tyre_curves(tyre, before.width_in, -before.offset_mm)
    frame.c.curve("original", start, curves, **dashed)
    line = rim_top(before, -before.offset_mm)
    frame.c.shape("original", line, closed=False, **dashed)
    y = frame.c.height - 16
    frame.c.path("original", f"M20,{y - 5:.1f} h34", {k.replace("_", "-"): v for k, v in dashed.items()})
    text = frame.say("original", tyre=tyre.designation, **before._asdict())
    frame.c.write(62, y, text, fill=QUIET)
