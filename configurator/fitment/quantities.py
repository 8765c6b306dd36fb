"""What follows from the numbers of a fit's parts, for floats and arrays alike."""

from functools import cached_property
from typing import Any

from . import tyre_size
from .arithmetic import known_or, most, pick
from .defaults import INCH_MM, RIM_FLANGE_MM
from .numbers import BOLT_ON


class Quantities:
    """The numbers of axle `a`, wheel `w`, tyre `t`, spacer `s`, fastener `f`, and what follows from them."""

    def __init__(self, a: Any, w: Any, t: Any, s: Any, f: Any) -> None:
        self.a, self.w, self.t, self.s, self.f = a, w, t, s, f

    @cached_property
    def section_width(self) -> Any:
        """S = S1 + K (A - A1) on the fitted rim, mm (UN R30 6.1.1), unrounded, or the measured width.

        The regulation rounds S on the measuring rim, for type approval; on a fitted rim rounding would only
        add up to half a millimetre of error to every clearance.
        """
        fitted = tyre_size.on_rim_mm(self.t.section_base, self.w.width_in)
        return known_or(self.t.section_measured, fitted)

    @cached_property
    def half_growth(self) -> Any:
        """What each face of the tyre may stand out by beyond its width's half, mm."""
        return 0.5 * self.t.width_tol + (0.5 * self.t.width_growth) * self.section_width

    @cached_property
    def effective_offset(self) -> Any:
        """Offset less the spacer's thickness, mm."""
        return self.w.offset_mm - self.s.thickness_mm

    @cached_property
    def half_rim(self) -> Any:
        """Half of the rim's width over its flanges, mm."""
        return self.w.width_in * (INCH_MM / 2) + RIM_FLANGE_MM

    @cached_property
    def half_width(self) -> Any:
        """Half of the wider of tyre and rim over its flanges, mm."""
        return most(self.section_width * 0.5, self.half_rim)

    @cached_property
    def wheel_offsets(self) -> tuple[Any, Any]:
        """Offset of the wheel that stands furthest inboard and of the one furthest outboard, mm.

        One wheel is both. Twins are one wheel twice, the outer one turned round, faces together.
        """
        if not self.a.twin:
            return self.w.offset_mm, self.w.offset_mm
        return abs(self.w.offset_mm), -abs(self.w.offset_mm)

    @cached_property
    def flush_faces(self) -> tuple[Any, Any]:
        """Inner and outer face of tyre or rim before any spacer, mm; a spacer moves both outboard."""
        inner, outer = self.wheel_offsets
        return -self.half_width - inner, self.half_width - outer

    @cached_property
    def outer_face(self) -> Any:
        """The tyre's outer face, of twins the outer tyre's, mm."""
        return self.section_width * 0.5 - (self.wheel_offsets[1] - self.s.thickness_mm)

    @cached_property
    def inner_face(self) -> Any:
        """The tyre's inner face, of twins the inner tyre's, mm."""
        return -0.5 * self.section_width - (self.wheel_offsets[0] - self.s.thickness_mm)

    @cached_property
    def place_tolerance(self) -> Any:
        """Tolerance of the wheel's place on the vehicle, mm: axle, wheel and spacer."""
        return self.a.tolerance_mm + self.w.tolerance_mm + self.s.tolerance_mm

    @cached_property
    def face_growth(self) -> Any:
        """What a tyre as wide as it may be stands out by beyond tyre or rim as designed, mm."""
        return most(self.section_width * 0.5 + self.half_growth, self.half_width) - self.half_width

    @cached_property
    def position_tolerance(self) -> Any:
        """Tolerance of a face's place, mm: axle, wheel, spacer and what the tyre may be wider on its side."""
        return self.place_tolerance + self.face_growth

    @cached_property
    def own_spigot(self) -> Any:
        """Height of the spacer's own spigot, 0 where it has none or none is stated, mm."""
        return known_or(self.s.spigot_height_mm, 0.0)

    @cached_property
    def through(self) -> Any:
        """Thickness of spacer that the wheel's fasteners pass through, mm: none for a bolt-on one.

        NaN for a spacer whose kind is not known: nobody can say what bolts it takes.
        """
        return pick(self.s.kind == BOLT_ON, 0.0, self.s.thickness_mm + 0.0 * self.s.kind)

    @cached_property
    def grip(self) -> Any:
        """Metal between the seat and the thread, mm: of twins that of both wheels."""
        return self.discs * self.w.seat_thickness_mm + self.through

    @cached_property
    def discs(self) -> int:
        """How many wheels each fastener holds: twins are held together."""
        return 2 if self.a.twin else 1

    @cached_property
    def needed_shank(self) -> Any:
        """Original shank + spacer + (new seat thickness - original seat thickness), mm."""
        change = self.w.seat_thickness_mm - self.a.original_seat_thickness_mm
        return self.a.original_shank_mm + self.through + self.discs * change

    @cached_property
    def shank(self) -> Any:
        """The given fastener's shank, or with none given the needed one, mm."""
        return self.f.shank_mm if self.f.given else self.needed_shank

    @cached_property
    def reach(self) -> Any:
        """Length of bolt past the metal it holds, or of stud in front of it, mm."""
        if self.a.nuts:
            return pick(self.s.kind == BOLT_ON, self.s.stud_length_mm, self.a.stud_length_mm) - self.grip
        if not self.f.given:
            # The needed shank less the metal it holds: seat and spacer go in and out again.
            return self.a.original_shank_mm - self.discs * self.a.original_seat_thickness_mm
        return self.shank - self.grip

    @cached_property
    def thread_depth(self) -> Any:
        """Length of thread on the other side: hub, spacer or nut, mm."""
        if self.a.nuts:
            return self.f.thread_length_mm
        own, hub = known_or(self.s.thread_mm, self.s.thickness_mm), self.a.hub_thread_mm + 0.0 * self.s.kind
        return pick(self.s.kind == BOLT_ON, own, hub)

    @cached_property
    def circumference_ratio(self) -> Any:
        """New rolling circumference over the original's, taken as that of the overall diameters."""
        return self.t.diameter / self.a.original_diameter
