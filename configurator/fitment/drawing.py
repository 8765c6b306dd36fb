"""The fit as a cross-section, drawn to scale from the numbers the checks are made of."""

from typing import Any

from .defaults import INCH_MM, RIM_FLANGE_MM
from .designation import Tyre
from .drawing_canvas import INK, QUIET, VERDICT_INK, Canvas
from .drawing_shapes import (
    Rim,
    brake_outline,
    hub_radius_mm,
    inside_line,
    nearest_pair,
    rim_of,
    rim_top,
    thickness_mm,
    tyre_curves,
    wheel_outline,
)
from .parts import Axle, Spacer, Wheel
from .report import FitReport
from .said import Say, english, message, told
from .tyre_size import drawn_diameter_mm, drawn_width_mm

_WIDTH = 560.0


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
    return _Section(axle, wheel, tyre, spacer, report, say).draw()


class _Section:
    def __init__(
        self, axle: Axle, wheel: Wheel, tyre: Tyre, spacer: Spacer | None, report: FitReport, say: Say
    ) -> None:
        self.say_message = say
        self.axle, self.wheel, self.tyre, self.spacer, self.report = axle, wheel, tyre, spacer, report
        self.s = thickness_mm(spacer)
        self.rim = rim_of(wheel)
        self.centre = self.s - (wheel.offset_mm or 0.0)
        self.half = drawn_width_mm(tyre, wheel.width_in) / 2 if wheel.width_in else 100.0
        self.tread = drawn_diameter_mm(tyre) / 2
        self.arch = max((axle.arch_diameter_mm or 2 * self.tread + 50) / 2, self.tread + 6)
        left, right = self._extent()
        self.head, self.foot = 182.0, 106.0
        scale = (_WIDTH - 40) / (right - left)
        box = (left, self.arch + self.head / scale, right, -self.foot / scale)
        self.c = Canvas(f"fit-{axle.position}", box, _WIDTH, scale)

    def _extent(self) -> tuple[float, float]:
        left = [self.centre - self.half - 30, -90.0]
        right = [self.centre + self.half + 40, 90.0]
        if self.axle.strut_face_mm is not None:
            left.append(self.axle.strut_face_mm - 48)
        if self.axle.arch_lip_mm is not None:
            right.append(self.axle.arch_lip_mm + 34)
        return min(left), max(right)

    def draw(self) -> str:
        c = self.c
        c.describe(self._title(), self._description())
        c.background()
        self._bodywork()
        if self.rim:
            self._tyre(self.rim)
        self._hub()
        if self.rim:
            self._wheel(self.rim)
        self._brake()
        self._original()
        if self.rim:
            self._widths(self.rim)
            self._depths()
            self._brake_gap(self.rim)
            self._diameter()
        self._heading()
        return c.markup()

    def _say(self, label: str, **figures: Any) -> str:
        found = message(f"section.{label}", **figures)
        return self.say_message(found.id, found.figures)

    def _title(self) -> str:
        return self._say("title", position=self.axle.position, outcome=self.report.verdict)

    def _parts(self) -> str:
        size = self._say("wheel", **self.rim._asdict()) if self.rim else self._say("wheel_unknown")
        spacer = self._say("with_spacer", spacer_mm=self.s) if self.spacer else self._say("no_spacer")
        return f"{size}; {self.tyre.designation}; {spacer}"

    def _description(self) -> str:
        shown = ("outboard_position", "inboard_clearance", "brake_clearance", "arch_diameter")
        rows = " ".join(told(self.report.check(name).messages, self.say_message) for name in shown)
        return f"{self._parts()}. {self._say('scale')} {rows}"

    def _heading(self) -> None:
        ink = VERDICT_INK[self.report.verdict]
        self.c.write(20, 30, self._title(), font_size="17", font_weight="600", fill=ink)
        self.c.write(20, 51, self._parts(), fill=QUIET)

    def _bodywork(self) -> None:
        axle, c = self.axle, self.c
        top = self.arch + 34 / c.scale
        fill: dict[str, Any] = {"fill": "#e4e1d8", "stroke": "#6e6a5e", "stroke_width": "1.2"}
        strut, lip = axle.strut_face_mm, axle.arch_lip_mm
        if strut is not None:
            foot = hub_radius_mm(axle) + 30
            c.shape("strut", [(strut - 40, foot), (strut, foot), (strut, top), (strut - 40, top)], **fill)
            c.write(
                c.x(strut - 20), c.y(foot) - 12, self._say("strut"), text_anchor="middle", stroke="#e4e1d8"
            )
        for y, r in ((y, r) for r, y in axle.inboard_points_mm or ()):
            c.shape("strut", [(y - 3, r), (y, r - 3), (y + 3, r), (y, r + 3)], **fill)
        if lip is not None:
            panel = [
                (lip - 26, self.arch + 6),
                (lip - 26, self.arch),
                (lip, self.arch),
                (lip, top),
                (lip - 6, top),
            ]
            c.shape("arch", [*panel, (lip - 6, self.arch + 6)], **fill)
            c.write(c.x(lip) + 6, c.y(self.arch) + 4, self._say("arch"), text_anchor="start")

    def _wheel(self, rim: Rim) -> None:
        c, known = self.c, self.wheel.inside_profile_mm is not None
        outline = wheel_outline(self.wheel, rim, self.s, hub_radius_mm(self.axle))
        line: dict[str, Any] = {"stroke": INK} if known else {"stroke": QUIET, "stroke_dasharray": "3 3"}
        c.shape("wheel", outline, fill="#c9d1d9", stroke_width="1.2", **line)
        if not known:
            y = c.y(rim.diameter_in * INCH_MM / 2 - 58)
            c.write(c.x(self.centre - rim.width_in * INCH_MM / 2), y, self._say("inside_unknown"), fill=QUIET)

    def _tyre(self, rim: Rim) -> None:
        start, curves = tyre_curves(self.tyre, rim.width_in, self.centre)
        self.c.curve("tyre", start, curves, fill="#4b5158", stroke=INK, stroke_width="1.2")
        start, curves = tyre_curves(self.tyre, rim.width_in, self.centre, within_mm=9)
        self.c.curve("air", start, curves, fill="#eef1f3", stroke=INK, stroke_width="0.8")
        height = (self.tread + self.tyre.rim_diameter_in * INCH_MM / 2) / 2
        size = self.tyre.designation.split(" ")[0]
        at = self.c.x(self.centre), self.c.y(height) + 5
        self.c.write(*at, size, text_anchor="middle", stroke="#eef1f3", font_weight="600")

    def _hub(self) -> None:
        axle, c, edge = self.axle, self.c, hub_radius_mm(self.axle)
        metal: dict[str, Any] = {"fill": "#a7b4c2", "stroke": INK, "stroke_width": "1.2"}
        c.shape(
            "hub", [(-60, 0), (-60, edge * 0.6), (-14, edge * 0.6), (-14, edge), (0, edge), (0, 0)], **metal
        )
        spigot, height = (axle.spigot_diameter_mm or 0) / 2, axle.spigot_height_mm or 0
        if spigot and height:
            c.shape(
                "hub", [(0, 0), (0, spigot), (height - 2, spigot), (height, spigot - 2), (height, 0)], **metal
            )
        if self.spacer:
            own = self.spacer.spigot_height_mm or 0
            bore = (self.spacer.bore_mm or 2 * spigot or 60) / 2
            ring = (self.spacer.spigot_diameter_mm or axle.spigot_diameter_mm or 60) / 2
            points = [(0, bore), (0, edge), (self.s, edge), (self.s, ring)]
            if own:
                points += [(self.s + own, ring), (self.s + own, ring - 5), (self.s - 2, ring - 5)]
            c.shape(
                "spacer",
                [*points, (self.s - 2 if own else self.s, bore)],
                fill="#e8a33d",
                stroke="#7a4d00",
                stroke_width="1.2",
            )
        c.write(c.x(-37), c.y(edge * 0.3) + 5, self._say("hub"), text_anchor="middle", stroke="#a7b4c2")
        ends = (-75, 0), (min(self.centre + self.half, 110), 0)
        c.line("axis", *ends, stroke=QUIET, stroke_width="1", stroke_dasharray="14 4 3 4")

    def _brake(self) -> None:
        outline = brake_outline(self.axle)
        if not outline:
            return
        c = self.c
        c.shape("brake", outline, fill="#f0c4bd", stroke="#8f2d20", stroke_width="1.2")
        y, z = (sum(p[i] for p in outline) / len(outline) for i in (0, 1))
        c.write(
            c.x(y), c.y(z) + 5, self._say("brake"), text_anchor="middle", stroke="#f0c4bd", stroke_width="2"
        )

    def _original(self) -> None:
        before, tyre = rim_of(self.axle.original_wheel), self.axle.original_tyre
        if not before or not tyre:
            return
        dashed: dict[str, Any] = {"stroke": "#1f5fbf", "stroke_width": "1.6", "stroke_dasharray": "6 4"}
        start, curves = tyre_curves(tyre, before.width_in, -before.offset_mm)
        self.c.curve("original", start, curves, **dashed)
        line = rim_top(before, -before.offset_mm)
        self.c.shape("original", line, closed=False, **dashed)
        y = self.c.height - 16
        self.c.path("original", f"M20,{y - 5:.1f} h34", {k.replace("_", "-"): v for k, v in dashed.items()})
        text = self._say("original", tyre=tyre.designation, **before._asdict())
        self.c.write(62, y, text, fill=QUIET)

    def _gap(self, name: str, a: float, b: float, what: str, anchor: str) -> None:
        """One gap of the top row, between two faces, with its verdict in words."""
        c, row = self.c, self.report.check(name)
        ink, level = VERDICT_INK[row.verdict], self.arch + 74 / self.c.scale
        for y in (a, b):
            c.line("extension", (y, self.tread - 30), (y, level + 4), stroke=ink, stroke_width="0.8")
        c.arrows((min(a, b), level), (max(a, b), level), ink)
        text = self._say(what, gap_mm=abs(a - b), verdict=row.verdict)
        x = 20.0 if anchor == "start" else c.width - 20
        # One above the other: in some languages both are long.
        y = c.y(level) - (9 if anchor == "end" else 27)
        c.write(x, y, text, text_anchor=anchor, fill=ink, font_weight="600")

    def _widths(self, rim: Rim) -> None:
        inner = self.centre - self.half, self.centre + self.half
        row = self.report.check("outboard_position")
        if self.axle.arch_lip_mm is not None and row.value is not None:
            past = row.value > self.axle.arch_lip_mm
            what = "past_arch" if past else "to_arch"
            self._gap("outboard_position", row.value, self.axle.arch_lip_mm, what, "end")
        row = self.report.check("inboard_clearance")
        if self.axle.strut_face_mm is not None and row.value is not None:
            face = self.centre - max(self.half, rim.width_in * INCH_MM / 2 + RIM_FLANGE_MM)
            what = "to_strut" if face > self.axle.strut_face_mm else "into_strut"
            self._gap("inboard_clearance", face, self.axle.strut_face_mm, what, "start")
        level = self.arch + 44 / self.c.scale
        self.c.arrows((inner[0], level), (inner[1], level), INK)
        text = self._say("width", section_mm=2 * self.half)
        self.c.write(self.c.x(self.centre), self.c.y(level) - 6, text, text_anchor="middle")

    def _depths(self) -> None:
        """Spacer and offset, below the axis."""
        c = self.c
        first, second = -22 / c.scale, -48 / c.scale
        c.line("extension", (0, 0), (0, second - 3), stroke=INK, stroke_width="0.8")
        if self.spacer:
            c.line("extension", (self.s, 0), (self.s, first - 3), stroke=INK, stroke_width="0.8")
            c.arrows((0, first), (self.s, first), INK)
            c.write(c.x(self.s) + 22, c.y(first) + 5, self._say("spacer", spacer_mm=self.s))
        offset = -self.centre
        c.line(
            "centreline",
            (self.centre, self.tread),
            (self.centre, second - 3),
            stroke=QUIET,
            stroke_width="0.9",
            stroke_dasharray="10 3 2 3",
        )
        c.arrows((min(self.centre, 0), second), (max(self.centre, 0), second), INK)
        x = c.x(max(self.centre, 0)) + (10 if abs(offset) * c.scale >= 22 else 22)
        c.write(x, c.y(second) + 5, self._say("offset", offset_mm=offset))
        change = self.report.derived["track_change_mm"]
        if change is not None:
            grown = abs(change) >= 0.5
            text = self._say("track", change_mm=change) if grown else self._say("track_same")
            c.write(20, c.y(second) + 5, text)

    def _brake_gap(self, rim: Rim) -> None:
        row = self.report.check("brake_clearance")
        inside = inside_line(self.wheel, rim, self.s, hub_radius_mm(self.axle))
        envelope = [(y, r) for r, y in self.axle.brake_envelope_mm or ()]
        pair = nearest_pair(envelope, inside)
        if row.value is None or not pair:
            return
        c, ink = self.c, VERDICT_INK[row.verdict]
        c.line("gap", *pair, stroke=ink, stroke_width="2.4")
        text = self._say("to_brake", gap_mm=row.value, verdict=row.verdict)
        # Left of the brake and below the barrel nothing else is drawn.
        x, y = c.x(min(p[0] for p in envelope)) - 14, c.y(pair[0][1]) + 30
        c.path(
            "leader",
            f"M{c.x(pair[0][0]):.1f},{c.y(pair[0][1]):.1f} L{x + 4:.1f},{y - 8:.1f}",
            {"stroke": ink, "stroke-width": "0.8"},
        )
        anchor = "end" if x > 220 else "start"
        c.write(x if x > 220 else 20, y, text, text_anchor=anchor, fill=ink, font_weight="600")

    def _diameter(self) -> None:
        c = self.c
        at = self.centre + self.half + 16
        if self.axle.arch_lip_mm is not None:
            at = max(at, self.axle.arch_lip_mm + 12)
        c.arrows((at, 0), (at, self.tread), QUIET)
        c.line("extension", (self.centre, self.tread), (at + 4, self.tread), stroke=QUIET, stroke_width="0.8")
        x, y = c.x(at) - 6, c.y(self.tread * 0.3)
        text = self._say("diameter", diameter_mm=2 * self.tread)
        c.write(x, y, text, text_anchor="middle", fill=QUIET, transform=f"rotate(-90 {x:.1f} {y:.1f})")
