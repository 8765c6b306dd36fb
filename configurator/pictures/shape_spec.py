"""The entries of a body's file: shapes, axles, views; `body` tells what the keys mean."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr, field_validator, model_validator

from . import tones
from .geometry import Path, circle_above, ellipse, rounded
from .look import AxleLook, Look
from .shapes import Shape
from .vocabulary import FITTED, PARTS
from .wheels import DESIGNS

Length = Annotated[float, Field(ge=-20_000, le=20_000)]
Positive = Annotated[float, Field(gt=0, le=20_000)]
Position = Literal["front", "rear"]
Drawn = Literal["shadow", "wheel-front", "wheel-rear", "tyres-front", "tyres-rear", "near-front", "near-rear"]
Point = Annotated[list[Length], Field(min_length=2, max_length=3)]


KEPT_PLACES, KEPT_WHEELS = 8, 32


class FileModel(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, allow_inf_nan=False)


class ShapeSpec(FileModel):
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
    # Where the outline lies for the last few rides and tyres; see `scene`.
    _placed: dict[tuple[float, ...], tuple[Path, ...]] = PrivateAttr(default_factory=dict)

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
            return axle_of(axles, self.arch).arch_edge(self.grow)
        if self.circle:
            return ellipse(*self.circle)
        if self.ellipse:
            return ellipse(*self.ellipse)
        corners = list(self.pts or [])
        if self.half:
            corners += [[-c[0], *c[1:]] for c in reversed(corners) if c[0]]
        return rounded(corners, closed=not self.open)

    def placed(self, key: tuple[float, ...], place: Callable[[], tuple[Path, ...]]) -> tuple[Path, ...]:
        """Return what ``place`` gives, remembered under ``key`` for as long as few others came between."""
        found = self._placed.get(key)
        if found is None:
            if len(self._placed) >= KEPT_PLACES:
                self._placed.clear()
            found = self._placed[key] = place()
        return found

    def is_shown(self, look: Look) -> bool:
        """Say whether a look shows the shape; add-on parts appear only when they are fitted."""
        needed = self.needs or (self.part if self.part in FITTED else None)
        if self.part in look.removed or (self.with_ and self.with_ in look.removed):
            return False
        if self.unless and self.unless in look.fitted:
            return False
        return not needed or needed in look.fitted


class Original(FileModel):
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


class Arch(FileModel):
    """The wheel opening: a circle of the body, cut off at its two feet. Lip from the hub's face."""

    radius_mm: Positive
    centre_z_mm: Positive
    feet_z_mm: Annotated[list[Positive], Field(min_length=2, max_length=2)]
    lip_mm: Length


class AxleSpec(FileModel):
    """Where an axle is. ``hub_face_mm`` is from the vehicle's middle; 0 with a single wheel."""

    x_mm: Length
    hub_face_mm: Annotated[float, Field(ge=0, le=2000)]
    wheels: Literal[1, 2] = 2
    arch: Arch | None = None
    bolt_count: Annotated[int, Field(ge=3, le=10)] = 5
    disc_share: Annotated[float, Field(ge=0, le=0.9)] = 0.68
    original: Original
    # The wheel as drawn for the last few looks; see `axles.wheel`.
    _drawn: dict[tuple[object, ...], tuple[Shape, ...]] = PrivateAttr(default_factory=dict)

    def drawn(self, key: tuple[object, ...], draw: Callable[[], tuple[Shape, ...]]) -> tuple[Shape, ...]:
        """Return what ``draw`` gives, remembered under ``key`` for as long as few others came between."""
        found = self._drawn.get(key)
        if found is None:
            if len(self._drawn) >= KEPT_WHEELS:
                self._drawn.clear()
            found = self._drawn[key] = draw()
        return found

    def arch_edge(self, grow: float) -> Path:
        """Return the open arc ``grow`` mm outside of the wheel opening, from foot to foot."""
        arch = self.arch
        if arch is None:
            return ()
        whole = circle_above(self.x_mm, arch.centre_z_mm, arch.radius_mm + grow, *arch.feet_z_mm)
        return whole[:-1]


class Axles(FileModel):
    """Both axles."""

    front: AxleSpec
    rear: AxleSpec


def axle_of(axles: Axles, position: str) -> AxleSpec:
    return axles.front if position == "front" else axles.rear


class Views(FileModel):
    """The three drawings."""

    side: list[ShapeSpec]
    front: list[ShapeSpec]
    rear: list[ShapeSpec]
