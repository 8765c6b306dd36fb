"""The measures of a drawn body: what it has, and what a new one is to have."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Any

from pydantic import Field, ValidationError

from .body import Body, BodyError
from .shape_spec import AxleSpec, FileModel, Length, Original, Positive


class AxleMeasures(FileModel):
    """Measures of one axle, as in `shape_spec.AxleSpec`; None where there is no opening."""

    hub_face_mm: Annotated[float, Field(ge=0, le=2000)]
    arch_radius_mm: Positive | None = None
    arch_centre_z_mm: Positive | None = None
    lip_mm: Length | None = None
    bolt_count: Annotated[int, Field(ge=3, le=10)] = 5
    original: Original


class Measures(FileModel):
    """What a new body is to measure, in mm on its original wheels.

    ``front_overhang_mm`` is from the front bumper to the front axle; ``window_sill_mm`` and
    ``window_top_mm`` are the lower and upper edge of the side windows above the ground, None without windows.
    """

    code: Annotated[str, Field(min_length=1, max_length=60)]
    name: Annotated[str, Field(min_length=1, max_length=120)]
    length_mm: Positive
    width_mm: Positive
    height_mm: Positive
    wheelbase_mm: Positive
    front_overhang_mm: Positive
    window_sill_mm: Positive | None = None
    window_top_mm: Positive | None = None
    front: AxleMeasures
    rear: AxleMeasures

    @classmethod
    def from_dict(cls, data: Any) -> Measures:
        """Return the measures of plain data; raise `BodyError` with every problem at its field."""
        try:
            return cls.model_validate(data)
        except ValidationError as error:
            raise BodyError(
                [(".".join(map(str, e["loc"])), e["msg"]) for e in error.errors(include_url=False)]
            ) from error


def measures_of(body: Body) -> Measures:
    """Return a body's own measures, to begin from; ``derive`` with these gives the same drawing again."""
    windows = _windows(body)
    return Measures(
        code=body.code,
        name=body.name,
        length_mm=body.length_mm,
        width_mm=body.width_mm,
        height_mm=body.height_mm,
        wheelbase_mm=body.wheelbase_mm,
        front_overhang_mm=body.axles.front.x_mm,
        window_sill_mm=windows[0] if windows else None,
        window_top_mm=windows[1] if windows else None,
        front=_axle_measures(body.axles.front),
        rear=_axle_measures(body.axles.rear),
    )


def nearest(bodies: Iterable[Body], wanted: Measures) -> Body:
    """Return the body whose shape is nearest by its proportions; raise ValueError when there is none.

    Wheels per axle and windows must be as wanted if any body has them so; then the least sum of relative
    differences in length, width, height and wheelbase counts, and equals are told apart by their code.
    """

    def apart(body: Body) -> tuple[bool, float, str]:
        own = measures_of(body)
        names = ("length_mm", "width_mm", "height_mm", "wheelbase_mm")
        far = sum(abs(getattr(own, n) - getattr(wanted, n)) / getattr(wanted, n) for n in names)
        unlike = (own.front.arch_radius_mm is None) != (wanted.front.arch_radius_mm is None)
        return unlike, far, body.code

    found = min(bodies, key=apart, default=None)
    if found is None:
        raise ValueError("There is no body to begin from.")
    return found


def _windows(body: Body) -> tuple[float, float] | None:
    """Return lower and upper edge of the glass in the upper half of the side view."""
    panes = [
        [point[1] for point in shape.pts]
        for shape in body.views.side
        if shape.pts and (shape.fill or "").startswith("glass") and shape.part == "body"
    ]
    heights = [z for pane in panes if max(pane) > body.height_mm * 0.7 for z in pane]
    return (min(heights), max(heights)) if heights else None


def _axle_measures(axle: AxleSpec) -> AxleMeasures:
    arch = axle.arch
    return AxleMeasures(
        hub_face_mm=axle.hub_face_mm,
        arch_radius_mm=arch.radius_mm if arch else None,
        arch_centre_z_mm=arch.centre_z_mm if arch else None,
        lip_mm=arch.lip_mm if arch else None,
        bolt_count=axle.bolt_count,
        original=axle.original,
    )
