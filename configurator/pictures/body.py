"""The drawing of a vehicle generation, as its JSON file gives it.

Side view: x runs from the front bumper (0) to the rear, z up from the ground, the front at the left.
Front and rear views: x runs from the vehicle's middle to the right of the page. All in millimetres, on
the original wheels and springs; the picture moves what moves.

A view is a list of shapes, drawn in order. A shape has one outline: ``pts`` (``[x, z]`` or
``[x, z, cut]``, see `geometry.rounded`), ``circle`` (``[x, z, r]``) or ``ellipse`` (``[x, z, rx, rz]``); or
the edge of a wheel opening (``arch``: ``front`` or ``rear``, side view, ``grow`` mm outside of it, open); or
it is a place where ``draw`` puts ``shadow``, ``wheel-front``, ``wheel-rear`` (side view), ``tyres-front`` or
``tyres-rear`` (the nearer axle in a front or rear view, with the farther one behind it), ``near-front`` or
``near-rear`` (that axle's tyres once more, where they stand before something). Further keys:

========== =====================================================================================
part       its name in `vocabulary`; ``body`` when left out
fill, line tones of the inside and of the outline, see `tones`; ``w`` is the outline's width
op         opacity, 0 to 1
open       the outline does not close
half       ``pts`` are the right half of a symmetrical outline, from top to bottom
mirror     drawn on both sides of the middle
needs      drawn only when that part is fitted
unless     not drawn when that part is fitted
with       not drawn when that part is removed
unsprung   ``front`` or ``rear``: stays with that wheel when the springs move
========== =====================================================================================
"""

from __future__ import annotations

from typing import Any, Self

from pydantic import ValidationError, field_validator, model_validator

from . import tones
from .look import Look
from .shape_spec import Axles, AxleSpec, FileModel, Positive, Views, axle_of
from .vocabulary import PARTS

WHEEL_PARTS = ("wheel_front", "wheel_rear", "caliper_front", "caliper_rear", "wheel_caps", "rim_stripe")


class BodyError(ValueError):
    """The description is not a drawing; ``problems`` pairs each place with what is wrong there."""

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{place}: {message}" for place, message in problems))


class Body(FileModel):
    """A generation's drawing. ``paints`` gives parts a material of `tones` where they are not body colour."""

    code: str
    name: str
    length_mm: Positive
    width_mm: Positive
    height_mm: Positive
    axles: Axles
    paints: dict[str, str] = {}
    views: Views

    @field_validator("paints")
    @classmethod
    def _are_materials(cls, value: dict[str, str]) -> dict[str, str]:
        for part, material in value.items():
            if part not in PARTS:
                raise ValueError(f"the vocabulary has no part {part!r}")
            if material != "body" and material not in tones.MATERIALS:
                raise ValueError(f"{material!r} is neither body nor a material")
        return value

    @model_validator(mode="after")
    def _has_the_arches_it_edges(self) -> Self:
        for shape in (*self.views.side, *self.views.front, *self.views.rear):
            if shape.arch and self.axle(shape.arch).arch is None:
                raise ValueError(f"a shape follows the {shape.arch} arch, but that axle has none")
        return self

    @classmethod
    def from_dict(cls, data: Any) -> Body:
        """Return the body that a file describes; raise `BodyError` with every problem and its place."""
        try:
            return cls.model_validate(data)
        except ValidationError as error:
            problems = [(".".join(map(str, e["loc"])), e["msg"]) for e in error.errors(include_url=False)]
            raise BodyError(problems) from error

    @property
    def wheelbase_mm(self) -> float:
        """Distance of the axles."""
        return self.axles.rear.x_mm - self.axles.front.x_mm

    @property
    def parts(self) -> frozenset[str]:
        """The vocabulary's names that this body can show, in whatever view."""
        shapes = [*self.views.side, *self.views.front, *self.views.rear]
        named = {s.part for s in shapes if not s.draw}
        named |= {n for s in shapes for n in (s.needs, s.with_) if n}
        return frozenset(named | set(WHEEL_PARTS))

    def axle(self, position: str) -> AxleSpec:
        """Return the ``front`` or ``rear`` axle."""
        return axle_of(self.axles, position)

    def original_look(self, body_hex: str = "#c4c9cc") -> Look:
        """Return the vehicle as it was delivered."""
        return Look(body_hex, self.axles.front.original.look(), self.axles.rear.original.look())
