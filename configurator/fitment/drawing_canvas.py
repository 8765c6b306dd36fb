"""A small SVG canvas whose coordinates are the fit's own: y outboard to the right, z up, millimetres."""

import re
from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, tostring

FONT = "system-ui, 'Segoe UI', 'Helvetica Neue', Arial, sans-serif"
INK, PAPER, QUIET = "#1f2328", "#fdfdfb", "#57606a"
VERDICT_INK = {
    "fits": "#116329",
    "measure": "#7a4d00",
    "no": "#b3261e",
    "unknown": "#57606a",
    "note": "#57606a",
}
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

Points = Sequence[tuple[float, float]]


class Canvas:
    """Holds the picture. Sizes given in mm go by `scale`; fonts and strokes are in picture units."""

    def __init__(self, name: str, box: tuple[float, float, float, float], width: float, scale: float) -> None:
        left, self.top, right, bottom = box
        self.scale, self._left = scale, left - (width / scale - (right - left)) / 2
        self._labels: list[Element] = []
        self.name, self.width, self.height = name, width, (self.top - bottom) * scale
        self.root = Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": f"0 0 {width:.0f} {self.height:.0f}",
                "role": "img",
                "aria-labelledby": f"{name}-title {name}-desc",
                "class": "fit-section",
                "font-family": FONT,
                "font-size": "14",
                "fill": "none",
                "stroke-linejoin": "round",
            },
        )

    def describe(self, title: str, description: str) -> None:
        """Give the title and description that a screen reader speaks."""
        for tag, text in (("title", title), ("desc", description)):
            SubElement(self.root, tag, {"id": f"{self.name}-{tag}"}).text = _clean(text)

    def background(self) -> None:
        """Lay light paper, so that the picture reads the same in dark mode and in print."""
        size = {"width": f"{self.width:.0f}", "height": f"{self.height:.0f}"}
        SubElement(self.root, "rect", size | {"rx": "8", "fill": PAPER, "class": "fit-paper"})

    def x(self, y_mm: float) -> float:
        """Place across, in picture units, of a distance outboard."""
        return (y_mm - self._left) * self.scale

    def y(self, z_mm: float) -> float:
        """Place down, in picture units, of a height."""
        return (self.top - z_mm) * self.scale

    def _at(self, point: tuple[float, float]) -> str:
        return f"{self.x(point[0]):.1f},{self.y(point[1]):.1f}"

    def shape(self, kind: str, points: Points, *, closed: bool = True, **attributes: str) -> None:
        """Draw straight sides through (y, z) points."""
        path = "M" + " L".join(self._at(point) for point in points) + (" Z" if closed else "")
        self.path(kind, path, attributes)

    def curve(
        self, kind: str, start: tuple[float, float], curves: Sequence[Points], **attributes: str
    ) -> None:
        """Draw a closed path of cubic curves, each given by two controls and its end."""
        parts = ["M" + self._at(start), *("C" + " ".join(self._at(p) for p in three) for three in curves)]
        self.path(kind, " ".join(parts) + " Z", attributes)

    def path(self, kind: str, path: str, attributes: dict[str, str]) -> None:
        """Draw a path given in picture units."""
        named = {key.replace("_", "-"): value for key, value in attributes.items()}
        SubElement(self.root, "path", {"class": f"fit-{kind}", "d": path} | named)

    def line(self, kind: str, a: tuple[float, float], b: tuple[float, float], **attributes: str) -> None:
        """Draw one straight line."""
        self.shape(kind, (a, b), closed=False, **attributes)

    def write(self, x: float, y: float, text: str, **attributes: str) -> None:
        """Write at picture units, above all that is drawn, with an edge that keeps lines off the letters."""
        named = {
            "x": f"{x:.1f}",
            "y": f"{y:.1f}",
            "fill": INK,
            "stroke": PAPER,
            "stroke-width": "4",
            "paint-order": "stroke",
        }
        named |= {key.replace("_", "-"): value for key, value in attributes.items()}
        label = Element("text", named)
        label.text = _clean(text)
        self._labels.append(label)

    def arrows(self, a: tuple[float, float], b: tuple[float, float], ink: str) -> None:
        """Draw a dimension line from point to point; arrows stand outside when there is no room between."""
        (x1, y1), (x2, y2) = (self.x(a[0]), self.y(a[1])), (self.x(b[0]), self.y(b[1]))
        length = max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5, 1e-6)
        ux, uy = (x2 - x1) / length, (y2 - y1) / length
        if length < 1e-3:
            ux, uy = 1.0, 0.0
        room = length >= 22
        tail = 0.0 if room else 16.0
        path = f"M{x1 - ux * tail:.1f},{y1 - uy * tail:.1f} L{x2 + ux * tail:.1f},{y2 + uy * tail:.1f}"
        for x, y, way in ((x1, y1, 1.0), (x2, y2, -1.0)):
            way = way if room else -way
            for side in (-1, 1):
                dx, dy = 7 * ux * way - 3 * side * uy, 7 * uy * way + 3 * side * ux
                path += f" M{x:.1f},{y:.1f} l{dx:.1f},{dy:.1f}"
        self.path("dimension", path, {"stroke": ink, "stroke-width": "1.4"})

    def markup(self) -> str:
        """Return the SVG, escaped, without scripts or style attributes."""
        self.root.extend(self._labels)
        self._labels = []
        return tostring(self.root, encoding="unicode")


def _clean(text: str) -> str:
    """Drop what XML cannot hold."""
    return _NOT_XML.sub("\ufffd", text)
