"""What a picture is to show: colours, wheels, what is fitted and what is gone."""

from __future__ import annotations

from dataclasses import dataclass, field

ACCENT, BODY = "accent", "body"


@dataclass(frozen=True)
class AxleLook:
    """What stands on one axle.

    ``outer_face_mm`` is how far the tyre's outer face is outboard of the hub's mounting face; without it
    the face follows from ``effective_offset_mm`` (offset less spacer): half the section width less the
    effective offset. On a motorcycle, both are measured from the vehicle's middle. ``spacer_mm`` is the
    part of the effective offset that a spacer takes: it moves the wheel and leaves its dish alone.
    """

    wheel_diameter_in: float
    wheel_width_in: float
    wheel_design: str
    wheel_hex: str
    tyre_section_width_mm: float
    tyre_overall_diameter_mm: float
    outer_face_mm: float | None = None
    effective_offset_mm: float = 0.0
    caliper_hex: str = "#6f757b"
    spacer_mm: float = 0.0

    @property
    def face_mm(self) -> float:
        """The tyre's outer face from the hub's mounting face, outboard positive."""
        if self.outer_face_mm is not None:
            return self.outer_face_mm
        return self.tyre_section_width_mm / 2 - self.effective_offset_mm


@dataclass(frozen=True)
class Look:
    """A build as the picture needs it.

    ``part_hex`` gives parts a colour: ``#rrggbb``, or ``accent`` or ``body`` for those two. ``fitted``
    names add-on parts to draw, ``removed`` parts to leave out; names are those of ``vocabulary``. Names
    that a body does not have change nothing. ``ride_drop_mm`` lowers the body on its springs.
    """

    body_hex: str
    front: AxleLook
    rear: AxleLook
    accent_hex: str = "#1b1d20"
    part_hex: dict[str, str] = field(default_factory=dict)
    fitted: frozenset[str] = frozenset()
    removed: frozenset[str] = frozenset()
    ride_drop_mm: float = 0.0

    def axle(self, position: str) -> AxleLook:
        """Return what stands on the ``front`` or ``rear`` axle."""
        return self.front if position == "front" else self.rear

    def colour_of(self, part: str) -> str | None:
        """Return the colour chosen for a part, or None where it keeps its own."""
        chosen = self.part_hex.get(part)
        return {ACCENT: self.accent_hex, BODY: self.body_hex}.get(chosen, chosen) if chosen else None
