"""The frame of the cross-section: the fit, its scale, and what every part of the drawing asks of it."""

from typing import Any

from .designation import Tyre
from .drawing_canvas import Canvas
from .drawing_shapes import (
    rim_of,
    thickness_mm,
)
from .parts import Axle, Spacer, Wheel
from .report import FitReport
from .said import Say, message
from .tyre_size import drawn_diameter_mm, drawn_width_mm

_WIDTH = 560.0


class Frame:
    """One fit with its canvas: where wheel, tyre and arch stand, and how much is shown of them."""

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

    def say(self, label: str, **figures: Any) -> str:
        """Return a label in the reader's words."""
        found = message(f"section.{label}", **figures)
        return self.say_message(found.id, found.figures)
