"""A new body from the nearest one: the same drawing, pulled to a set of measures.

>>> start = nearest(bodies, wanted)                                               # doctest: +SKIP
>>> derive(start, measures_of(start).model_copy(update={"wheelbase_mm": 3200.0})) # doctest: +SKIP

The drawing is stretched piece by piece between fixed lines: along the vehicle its ends and the edges of its
wheel openings, in height the ground, the openings' tops, both edges of the windows and the roof, across it
the middle and the sides. What lies outside (a splitter, a tow bar, mirrors, an aerial) moves along
unstretched. So wheel openings stay round and a longer wheelbase lengthens the doors, not the bumpers.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from itertools import pairwise
from typing import Any

from .body import Body, BodyError
from .measures import AxleMeasures, Measures, measures_of
from .shape_spec import Arch, AxleSpec, ShapeSpec

# A piece stretched further than this is no longer the vehicle that was drawn.
LEAST, MOST = 0.4, 3.0
_LEAST_PIECE_MM = 20.0
# Further off its side an opening would float before the body, or its tyre stand inside of the sill.
MOST_BESIDE_MM = 25.0
Line = tuple[str, float, float]
"""A fixed line: the measures that place it, where it lies in the old drawing and in the new one, mm."""


def derive(body: Body, measures: Measures) -> Body:
    """Return a new body of these measures, drawn as ``body`` is; raise `BodyError` naming what cannot be."""
    own = measures_of(body)
    problems = _differences_in_kind(own, measures)
    if problems:
        raise BodyError(problems)
    along, up = _lines_along(own, measures), _lines_up(own, measures)
    across = [("", 0.0, 0.0), ("width_mm", own.width_mm / 2, measures.width_mm / 2)]
    problems = [*_impossible(along), *_impossible(up), *_impossible(across), *_beside_its_side(own, measures)]
    if problems:
        raise BodyError(problems)
    return _drawn(body, measures, _mapping(along), _mapping(up), _mapping(across))


def _drawn(
    body: Body,
    measures: Measures,
    along: Callable[[float], float],
    up: Callable[[float], float],
    across: Callable[[float], float],
) -> Body:
    """Return the body with every point moved and every axle as measured."""

    def sideways(x: float) -> float:
        return across(x) if x >= 0 else -across(-x)

    data = body.model_dump(by_alias=True, exclude_unset=True)
    for view, move in (("side", along), ("front", sideways), ("rear", sideways)):
        shapes = getattr(body.views, view)
        for shape, plain in zip(shapes, data["views"][view], strict=True):
            plain |= _moved(shape, move, up)
    data |= {name: getattr(measures, name) for name in ("code", "name", "length_mm", "width_mm", "height_mm")}
    x = measures.front_overhang_mm
    for position, x_mm in (("front", x), ("rear", x + measures.wheelbase_mm)):
        axle = _axle(body.axle(position), getattr(measures, position), x_mm, up)
        data["axles"][position] = axle.model_dump(by_alias=True, exclude_unset=True)
    return Body.from_dict(data)


def _differences_in_kind(own: Measures, wanted: Measures) -> list[tuple[str, str]]:
    """Return the measures that are given for what the drawing has not, or missing for what it has."""
    pairs = [
        (name, getattr(own, name), getattr(wanted, name)) for name in ("window_sill_mm", "window_top_mm")
    ]
    for position in ("front", "rear"):
        had, asked = getattr(own, position), getattr(wanted, position)
        pairs += [
            (f"{position}.{name}", getattr(had, name), getattr(asked, name))
            for name in ("arch_radius_mm", "arch_centre_z_mm", "lip_mm")
        ]
    return [
        (
            name,
            "The drawing has this: give its measure."
            if had is not None
            else "The drawing has no such thing.",
        )
        for name, had, asked in pairs
        if (had is None) != (asked is None)
    ]


def _reach(axle: AxleMeasures) -> float:
    """Return half of what an axle's opening, or its tyre, takes along the vehicle."""
    return axle.arch_radius_mm or axle.original.tyre_overall_diameter_mm / 2


def _lines_along(own: Measures, new: Measures) -> list[Line]:
    """Return the fixed lines from the front bumper to the rear one."""
    lines: list[Line] = [("", 0.0, 0.0)]
    for position in ("front", "rear"):
        olds, news = (
            (
                m.front_overhang_mm + (m.wheelbase_mm if position == "rear" else 0.0),
                _reach(getattr(m, position)),
            )
            for m in (own, new)
        )
        place = "front_overhang_mm" if position == "front" else "wheelbase_mm"
        lines.append((place, olds[0] - olds[1], news[0] - news[1]))
        lines.append((f"{position}.arch_radius_mm", olds[0] + olds[1], news[0] + news[1]))
    return [*lines, ("length_mm", own.length_mm, new.length_mm)]


def _lines_up(own: Measures, new: Measures) -> list[Line]:
    """Return the fixed lines from the ground to the roof."""
    lines: list[Line] = [("", 0.0, 0.0)]
    tops = [max((a.arch_centre_z_mm or 0.0) + _reach(a) for a in (m.front, m.rear)) for m in (own, new)]
    if own.window_sill_mm and new.window_sill_mm and own.window_top_mm and new.window_top_mm:
        lines.append(("front.arch_radius_mm", tops[0], tops[1]))
        lines.append(("window_sill_mm", own.window_sill_mm, new.window_sill_mm))
        lines.append(("window_top_mm", own.window_top_mm, new.window_top_mm))
    return [*lines, ("height_mm", own.height_mm, new.height_mm)]


def _impossible(lines: list[Line]) -> list[tuple[str, str]]:
    """Return the lines that lie too close to the one before, or stretch a piece beyond recognition."""
    problems = []
    for (_, old_start, new_start), (name, old_end, new_end) in pairwise(lines):
        old, new = old_end - old_start, new_end - new_start
        if new < _LEAST_PIECE_MM:
            problems.append((name, f"This leaves {new:.0f} mm where the drawing has {old:.0f} mm."))
        elif not LEAST <= new / old <= MOST:
            problems.append(
                (name, f"This makes {new:.0f} mm of {old:.0f} mm: begin from a body that is nearer.")
            )
    return problems


def _beside_its_side(own: Measures, new: Measures) -> list[tuple[str, str]]:
    """Return the axles whose openings would stand further from the body's side than those of the drawing."""

    def gap(measures: Measures, position: str) -> float:
        axle = getattr(measures, position)
        return float(axle.hub_face_mm + (axle.lip_mm or 0.0) - measures.width_mm / 2)

    return [
        (
            f"{position}.hub_face_mm",
            f"The lip of the opening lies {gap(new, position):+.0f} mm from the side.",
        )
        for position in ("front", "rear")
        if getattr(own, position).lip_mm is not None
        and abs(gap(new, position) - gap(own, position)) > MOST_BESIDE_MM
    ]


def _mapping(lines: list[Line]) -> Callable[[float], float]:
    """Return where a coordinate goes: straight between the lines, moved along outside of them."""
    olds, news = [line[1] for line in lines], [line[2] for line in lines]

    def move(value: float) -> float:
        if value <= olds[0]:
            return value - olds[0] + news[0]
        if value >= olds[-1]:
            return value - olds[-1] + news[-1]
        after = bisect_right(olds, value)
        share = (value - olds[after - 1]) / (olds[after] - olds[after - 1])
        return round(news[after - 1] + share * (news[after] - news[after - 1]), 3)

    return move


def _moved(
    shape: ShapeSpec, across: Callable[[float], float], up: Callable[[float], float]
) -> dict[str, Any]:
    """Return a shape's outline with its points moved; lamps and badges that are round stay round."""
    if shape.pts:
        return {"pts": [[across(x), up(z), *cut] for x, z, *cut in shape.pts]}
    if shape.circle:
        return {"circle": [across(shape.circle[0]), up(shape.circle[1]), shape.circle[2]]}
    if shape.ellipse:
        return {"ellipse": [across(shape.ellipse[0]), up(shape.ellipse[1]), *shape.ellipse[2:]]}
    return {}


def _axle(axle: AxleSpec, measures: AxleMeasures, x_mm: float, up: Callable[[float], float]) -> AxleSpec:
    """Return the axle in its new place; the feet of its opening go with the sills."""
    changes: dict[str, Any] = {
        "x_mm": x_mm,
        "hub_face_mm": measures.hub_face_mm,
        "bolt_count": measures.bolt_count,
        "original": measures.original,
    }
    if axle.arch and measures.arch_radius_mm and measures.arch_centre_z_mm and measures.lip_mm is not None:
        changes["arch"] = Arch(
            radius_mm=measures.arch_radius_mm,
            centre_z_mm=measures.arch_centre_z_mm,
            feet_z_mm=[up(z) for z in axle.arch.feet_z_mm],
            lip_mm=measures.lip_mm,
        )
    return axle.model_copy(update=changes)
