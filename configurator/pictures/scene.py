"""From a body and a look to a scene: every shape in its place and colour, in millimetres.

The scene is the one description of a picture; `svg` writes it and `png` has that writing rasterised, so
that page, mail and job sheet show the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from . import tones, tyres
from .axles import wheel
from .body import Body
from .geometry import Box, Path, bounds, ellipse, mapped, mirrored
from .look import Look
from .shape_spec import ShapeSpec
from .shapes import Shape
from .vocabulary import VIEWS

__all__ = ["Scene", "Shape", "body_lift", "scene"]

_SIDE_ROOM, _TOP_ROOM, _GROUND_ROOM, _MIRROR_ROOM = 110.0, 190.0, 60.0, 260.0


@dataclass(frozen=True)
class Scene:
    """Shapes in drawing order and the frame (left, bottom, right, top) in mm; z = 0 is the ground."""

    view: str
    shapes: tuple[Shape, ...]
    frame: Box

    @property
    def width_mm(self) -> float:
        """Width of the frame."""
        return self.frame[2] - self.frame[0]

    @property
    def height_mm(self) -> float:
        """Height of the frame."""
        return self.frame[3] - self.frame[1]

    def of(self, part: str) -> list[Shape]:
        """Return the shapes of a part; wheels have ``tyre_front``, ``wheel_front`` and so on."""
        return [shape for shape in self.shapes if shape.part == part]

    def bounds(self, part: str) -> Box:
        """Return the box round all shapes of a part; raise KeyError when there is none."""
        boxes = [bounds(shape.path) for shape in self.of(part)]
        if not boxes:
            raise KeyError(part)
        left, bottom, right, top = zip(*boxes, strict=True)
        return min(left), min(bottom), max(right), max(top)


def body_lift(body: Body, look: Look) -> Callable[[float], float]:
    """Return how far the body stands above its original height, for a place x along the vehicle.

    Each axle rises by half of its tyre's gain in diameter and falls by the ride drop; in between the body
    tilts as a straight line.
    """
    front, rear = (_axle_lift(body, look, p) - look.ride_drop_mm for p in ("front", "rear"))
    start, length = body.axles.front.x_mm, body.wheelbase_mm
    return lambda x: front + (rear - front) * (x - start) / length


def _axle_lift(body: Body, look: Look, position: str) -> float:
    before = body.axle(position).original.tyre_overall_diameter_mm
    return (look.axle(position).tyre_overall_diameter_mm - before) / 2


def scene(body: Body, look: Look, view: str) -> Scene:
    """Return the ``side``, ``front`` or ``rear`` view of a body in a look; raise ValueError for another view.

    The frame depends on the body alone, so that the picture stands still while choices change.
    """
    if view not in VIEWS:
        raise ValueError(f"There is no view {view!r}, only {', '.join(VIEWS)}.")
    shapes = tuple(shape for spec in getattr(body.views, view) for shape in _drawn(spec, body, look, view))
    return Scene(view, shapes, _frame(body, view))


def _frame(body: Body, view: str) -> Box:
    top = body.height_mm + _TOP_ROOM
    if view == "side":
        return -_SIDE_ROOM, -_GROUND_ROOM, body.length_mm + _SIDE_ROOM, top
    half = body.width_mm / 2 + _MIRROR_ROOM
    return -half, -_GROUND_ROOM, half, top


def _drawn(spec: ShapeSpec, body: Body, look: Look, view: str) -> Iterator[Shape]:
    """Yield what one entry of a view puts into the picture."""
    if spec.draw == "shadow":
        yield from _shadow(body, look, view)
    elif spec.draw:
        kind, position = spec.draw.split("-")
        if kind == "wheel":
            yield from wheel(body.axle(position), look.axle(position), look, position, body_lift(body, look))
        else:
            yield from tyres.along(body, look, position, with_farther=kind == "tyres")
    elif spec.is_shown(look):
        for path in _placed(spec, body, look, view):
            yield _coloured(spec, body, look, path)


def _placed(spec: ShapeSpec, body: Body, look: Look, view: str) -> tuple[Path, ...]:
    """Return the shape's outline, and its mirror image where it has one, as high as this look stands."""
    move = _mover(spec, body, look, view)

    def place() -> tuple[Path, ...]:
        path = mapped(spec.path(body.axles), move)
        return (path, mirrored(path)) if spec.mirror else (path,)

    heights = tuple(move(axle.x_mm, 0.0)[1] for axle in (body.axles.front, body.axles.rear))
    return spec.placed(heights, place)


def _mover(
    spec: ShapeSpec, body: Body, look: Look, view: str
) -> Callable[[float, float], tuple[float, float]]:
    """Return where a point of the original drawing goes in this look."""
    if spec.unsprung:
        rise = _axle_lift(body, look, spec.unsprung)
        return lambda x, z: (x, z + rise)
    lift = body_lift(body, look)
    if view == "side":
        return lambda x, z: (x, z + lift(x))
    rise = lift(body.axle(view).x_mm)
    return lambda x, z: (x, z + rise)


def _coloured(spec: ShapeSpec, body: Body, look: Look, path: Path) -> Shape:
    paint = paint_of(body, look, spec.part)
    return Shape(
        part=spec.part,
        path=path,
        fill=tones.resolve(spec.fill, paint) if spec.fill else None,
        stroke=_flat(tones.resolve(spec.line, paint)) if spec.line else None,
        stroke_mm=spec.w if spec.line else 0.0,
        opacity=spec.op,
    )


def _flat(colour: str | tones.Gradient) -> str:
    return colour if isinstance(colour, str) else colour.top


def paint_of(body: Body, look: Look, part: str) -> str:
    """Return the colour of a part: the look's choice, else the body's material for it, else body colour."""
    chosen = look.colour_of(part)
    if chosen:
        return chosen
    return tones.MATERIALS.get(body.paints.get(part, "body"), look.body_hex)


def _shadow(body: Body, look: Look, view: str) -> Iterator[Shape]:
    """Yield the soft shadow of the body on the ground, and a dark one where each tyre stands."""
    middle, half = (body.length_mm / 2, body.length_mm / 2) if view == "side" else (0.0, body.width_mm / 2)
    for share, height in ((1.0, 46.0), (0.97, 39.0), (0.93, 31.0), (0.88, 22.0)):
        yield Shape("shadow", ellipse(middle, 0.0, half * share, height), fill="#000000", opacity=0.09)
    for place, reach in _contacts(body, look, view):
        for share, height in ((1.0, 20.0), (0.72, 12.0)):
            yield Shape("shadow", ellipse(place, 0.0, reach * share, height), fill="#000000", opacity=0.3)


def _contacts(body: Body, look: Look, view: str) -> Iterator[tuple[float, float]]:
    """Yield where tyres touch the ground, and how far to each side their shadow reaches."""
    if view == "side":
        for position in ("front", "rear"):
            reach = look.axle(position).tyre_overall_diameter_mm * 0.34
            yield body.axle(position).x_mm, min(reach, body.axle(position).x_mm)
    else:
        for left, right in tyres.spans(body.axle(view), look.axle(view)):
            yield (left + right) / 2, (right - left) * 0.62
