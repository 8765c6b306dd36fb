"""A barrel or a brake as points on a picture, in mm: across the axle to the right, radius upwards."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

from configurator.catalogue import field_words, words
from configurator.catalogue import models as m
from configurator.catalogue.plain import Plain
from configurator.fitment.defaults import INCH_MM

Point = tuple[float, float]
SPARE = 3
LOW_R, MARGIN = 0.0, 30.0
SAME_MM = 0.1


@dataclass(frozen=True)
class Line:
    """A line that helps to place the points: its own points as SVG writes them, how drawn, and what it is."""

    points: str
    look: str
    label: str


@dataclass
class Picture:
    """What the template draws and the inputs beside it; all lengths are mm."""

    name: str
    label: str
    points: list[Point]
    typed: list[tuple[str, str]]
    box: tuple[float, float, float, float]
    lines: list[Line] = field(default_factory=list)
    grid: list[tuple[float, float, float, float, str]] = field(default_factory=list)

    @property
    def view_box(self) -> str:
        """Return the SVG's box."""
        return " ".join(f"{one:g}" for one in self.box)

    @property
    def polyline(self) -> str:
        """Return the points as SVG writes them."""
        return svg_points(self.points)

    @property
    def handles(self) -> list[tuple[int, float, float]]:
        """Return number and place of each point's handle."""
        return [(number, y, -r) for number, (r, y) in enumerate(self.points)]


def svg_points(points: list[Point]) -> str:
    """Return [radius, y] pairs as SVG's x,y: y to the right, radius upwards."""
    return " ".join(f"{y:g},{-r:g}" for r, y in points)


def picture(kind: str, name: str, shown: str, row: Plain) -> Picture:
    """Return the picture of a profile as it stands in a form: its cell, and the ``row`` around it."""
    typed = [tuple(pair.partition(":")[::2]) for pair in shown.split()]
    points = [
        (r, y) for pair in typed if (r := number(pair[0])) is not None and (y := number(pair[1])) is not None
    ]
    lines = wheel_lines(row) if kind == "wheels" else axle_lines(row)
    box = _box([*points, *(p for line in lines for p in _read(line.points))])
    spare = [("", "")] * SPARE
    found = Picture(name, field_words.name_of(name), points, [*typed, *spare], box, lines)  # type: ignore[list-item]
    found.grid = _grid(box)
    return found


def number(text: Any) -> float | None:
    """Return a typed number, or None."""
    try:
        found = float(str(text).replace(",", "."))
    except ValueError:
        return None
    return found if abs(found) < 2000 else None


def wheel_lines(row: Plain) -> list[Line]:
    """Return the rim's own outline, its mounting face, and the brakes of vehicles with its bolt circle."""
    lines = [Line(svg_points([(0, 0), (160, 0)]), "face", _("mounting face"))]
    width, diameter, offset = (number(row.get(name)) for name in ("width_in", "diameter_in", "offset_mm"))
    if width and diameter:
        half, radius, middle = width * INCH_MM / 2, diameter * INCH_MM / 2, -(offset or 0)
        rim = [(radius + 17, middle - half), (radius, middle - half), (radius, middle + half)]
        lines.append(Line(svg_points([*rim, (radius + 17, middle + half)]), "rim", _("rim")))
    bore = number(row.get("bore_mm"))
    if bore:
        lines.append(Line(svg_points([(bore / 2, -20), (bore / 2, 40)]), "rim", _("centre bore")))
    return [*lines, *_brakes(number(row.get("bolt_count")), number(row.get("bolt_circle_mm")))]


def _brakes(count: float | None, circle: float | None) -> list[Line]:
    if count is None or circle is None:
        return []
    axles = m.Axle.objects.exclude(brake_envelope_mm=None).select_related("generation__maker")
    near = axles.filter(
        bolt_count=int(count), bolt_circle_mm__range=(circle - SAME_MM, circle + SAME_MM)
    ).defer("generation__body")
    return [
        Line(
            svg_points([(r, y) for r, y in axle.brake_envelope_mm or ()]),
            "brake",
            _("brake of %(vehicle)s, %(place)s")
            % {"vehicle": axle.generation, "place": words.choice(axle.position)},
        )
        for axle in near[:12]
    ]


def axle_lines(row: Plain) -> list[Line]:
    """Return the hub's face, the original rim, the strut, the arch's lip and its room, as far as known."""
    known = {name: number(row.get(name)) for name in _AXLE}
    lines = [Line(svg_points([(0, 0), (160, 0)]), "face", _("hub face"))]
    width, diameter = known["original_wheel_width_in"], known["original_wheel_diameter_in"]
    if width and diameter:
        half, radius = width * INCH_MM / 2, diameter * INCH_MM / 2
        middle = -(known["original_wheel_offset_mm"] or 0)
        rim = [(radius, middle - half), (radius, middle + half)]
        lines.append(Line(svg_points(rim), "rim", _("original rim")))
    top = (known["arch_diameter_mm"] or 600) / 2
    if known["strut_face_mm"] is not None:
        strut = known["strut_face_mm"]
        lines.append(Line(svg_points([(130, strut), (top, strut)]), "body", _("strut")))
    if known["arch_lip_mm"] is not None:
        lip = known["arch_lip_mm"]
        lines.append(Line(svg_points([(top, lip - 60), (top, lip), (top - 12, lip)]), "body", _("arch lip")))
    return lines


_AXLE = (
    "original_wheel_width_in", "original_wheel_diameter_in", "original_wheel_offset_mm", "arch_diameter_mm",
    "strut_face_mm", "arch_lip_mm",
)  # fmt: skip


def _read(points: str) -> list[Point]:
    pairs = (pair.split(",") for pair in points.split())
    return [(-float(up), float(across)) for across, up in pairs]


def _box(points: list[Point]) -> tuple[float, float, float, float]:
    across = [y for _r, y in points] or [0.0]
    left, right = min([*across, -120.0]) - MARGIN, max([*across, 60.0]) + MARGIN
    top = max([*(r for r, _y in points), 200.0]) + MARGIN
    return (left, -top, right - left, top - LOW_R + MARGIN / 2)


def _grid(box: tuple[float, float, float, float]) -> list[tuple[float, float, float, float, str]]:
    """Return lines every 50 mm with their figures: x1, y1, x2, y2 and the label."""
    left, top, wide, high = box
    found = []
    for x in range(int(left // 50 + 1) * 50, int(left + wide), 50):
        found.append((float(x), top, float(x), top + high, f"{x}"))
    for r in range(0, int(-top), 50):
        found.append((left, -float(r), left + wide, -float(r), f"{r}"))
    return found
