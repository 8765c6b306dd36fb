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

from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from . import tones
from .geometry import Path, circle_above, ellipse, rounded
from .look import AxleLook, Look
from .vocabulary import FITTED, PARTS
from .wheels import DESIGNS

Length = Annotated[float, Field(ge=-20_000, le=20_000)]
Positive = Annotated[float, Field(gt=0, le=20_000)]
Position = Literal["front", "rear"]
Drawn = Literal["shadow", "wheel-front", "wheel-rear", "tyres-front", "tyres-rear", "near-front", "near-rear"]
Point = Annotated[list[Length], Field(min_length=2, max_length=3)]


WHEEL_PARTS = ("wheel_front", "wheel_rear", "caliper_front", "caliper_rear", "wheel_caps", "rim_stripe")


class BodyError(ValueError):
    """The description is not a drawing; ``problems`` pairs each place with what is wrong there."""

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{place}: {message}" for place, message in problems))


class _Model(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, allow_inf_nan=False)


class ShapeSpec(_Model):
    """One shape of a view, see the module's text."""

    part: str = "body"
    draw: Drawn | None = None
    pts: Annotated[list[Point], Field(min_length=2, max_length=120)] | None = None
    circle: Annotated[list[Length], Field(min_length=3, max_length=3)] | None = None
    ellipse: Annotated[list[Length], Field(min_length=4, max_length=4)] | None = None
    fill: str | None = None
    line: str | None = None
    w: Annotated[float, Field(gt=0, le=400)] = 8.0
    op: Annotated[float, Field(gt=0, le=1)] = 1.0
    arch: Position | None = None
    grow: Annotated[float, Field(ge=-200, le=300)] = 0.0
    open: bool = False
    half: bool = False
    mirror: bool = False
    needs: str | None = None
    unless: str | None = None
    with_: str | None = Field(None, alias="with")
    unsprung: Position | None = None

    @field_validator("fill", "line")
    @classmethod
    def _is_tone(cls, value: str | None) -> str | None:
        if value is not None:
            tones.parse(value)
        return value

    @field_validator("part", "needs", "unless", "with_")
    @classmethod
    def _is_known(cls, value: str | None) -> str | None:
        if value is not None and value not in PARTS:
            raise ValueError(f"the vocabulary has no part {value!r}")
        return value

    @model_validator(mode="after")
    def _has_one_outline(self) -> Self:
        given = [
            name for name in ("draw", "pts", "circle", "ellipse", "arch") if getattr(self, name) is not None
        ]
        if len(given) != 1:
            raise ValueError("give one of draw, pts, circle, ellipse, arch")
        if not self.draw and self.fill is None and self.line is None:
            raise ValueError("give a fill or a line")
        return self

    def path(self, axles: Axles) -> Path:
        """Return the outline as it lies on the original vehicle; raises nothing for a checked body."""
        if self.arch:
            return _axle(axles, self.arch).arch_edge(self.grow)
        if self.circle:
            return ellipse(*self.circle)
        if self.ellipse:
            return ellipse(*self.ellipse)
        corners = list(self.pts or [])
        if self.half:
            corners += [[-c[0], *c[1:]] for c in reversed(corners) if c[0]]
        return rounded(corners, closed=not self.open)

    def is_shown(self, look: Look) -> bool:
        """Say whether a look shows the shape; add-on parts appear only when they are fitted."""
        needed = self.needs or (self.part if self.part in FITTED else None)
        if self.part in look.removed or (self.with_ and self.with_ in look.removed):
            return False
        if self.unless and self.unless in look.fitted:
            return False
        return not needed or needed in look.fitted


class Original(_Model):
    """The wheel and tyre that an axle is delivered with."""

    wheel_diameter_in: Positive
    wheel_width_in: Positive
    wheel_design: str
    wheel_hex: Annotated[str, Field(pattern=r"^#[0-9a-f]{6}$")] = "#a9afb4"
    tyre_section_width_mm: Positive
    tyre_overall_diameter_mm: Positive
    effective_offset_mm: Length

    @field_validator("wheel_design")
    @classmethod
    def _is_design(cls, value: str) -> str:
        if value not in DESIGNS:
            raise ValueError(f"there is no wheel design {value!r}")
        return value

    def look(self) -> AxleLook:
        """Return it as a look has it."""
        return AxleLook(**self.model_dump())


class Arch(_Model):
    """The wheel opening: a circle of the body, cut off at its two feet. Lip from the hub's face."""

    radius_mm: Positive
    centre_z_mm: Positive
    feet_z_mm: Annotated[list[Positive], Field(min_length=2, max_length=2)]
    lip_mm: Length


class AxleSpec(_Model):
    """Where an axle is. ``hub_face_mm`` is from the vehicle's middle; 0 with a single wheel."""

    x_mm: Length
    hub_face_mm: Annotated[float, Field(ge=0, le=2000)]
    wheels: Literal[1, 2] = 2
    arch: Arch | None = None
    disc_share: Annotated[float, Field(ge=0, le=0.9)] = 0.68
    original: Original

    def arch_edge(self, grow: float) -> Path:
        """Return the open arc ``grow`` mm outside of the wheel opening, from foot to foot."""
        arch = self.arch
        if arch is None:
            return ()
        whole = circle_above(self.x_mm, arch.centre_z_mm, arch.radius_mm + grow, *arch.feet_z_mm)
        return whole[:-1]


class Axles(_Model):
    """Both axles."""

    front: AxleSpec
    rear: AxleSpec


def _axle(axles: Axles, position: str) -> AxleSpec:
    return axles.front if position == "front" else axles.rear


class Views(_Model):
    """The three drawings."""

    side: list[ShapeSpec]
    front: list[ShapeSpec]
    rear: list[ShapeSpec]


class Body(_Model):
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
        return _axle(self.axles, position)

    def original_look(self, body_hex: str = "#c4c9cc") -> Look:
        """Return the vehicle as it was delivered."""
        return Look(body_hex, self.axles.front.original.look(), self.axles.rear.original.look())
