"""A scene as SVG 1.1: presentation attributes only, so that it shows under the strictest content policy."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from itertools import groupby
from xml.sax.saxutils import escape

from .geometry import Path, Segment
from .scene import Scene
from .shapes import Shape
from .tones import Gradient

_PREFIX = re.compile(r"[A-Za-z][A-Za-z0-9_-]*\Z")


def to_svg(scene: Scene, title: str, desc: str, *, prefix: str = "kerb", width_px: int | None = None) -> str:
    """Return the picture with its title and description for screen readers.

    ``prefix`` begins every id, so that several pictures can stand on one page: give each its own (letters,
    digits, dash, underscore; ValueError otherwise). Without ``width_px`` the page decides the size.
    """
    if not _PREFIX.match(prefix):
        raise ValueError(f"{prefix!r} cannot begin an id.")
    return _Writer(scene, prefix).written(title, desc, width_px)


def number(value: float) -> str:
    """Return a coordinate to a tenth of a millimetre, as short as can be."""
    text = f"{value:.1f}"
    text = text[:-2] if text.endswith(".0") else text
    return "0" if text == "-0" else text


class _Writer:
    """Collects gradients and clips while the shapes are written; numbers them in order of use."""

    def __init__(self, scene: Scene, prefix: str) -> None:
        self.scene, self.prefix = scene, prefix
        self.gradients: dict[Gradient, str] = {}
        self.clips: dict[Path, str] = {}

    def written(self, title: str, desc: str, width_px: int | None) -> str:
        scene, p = self.scene, self.prefix
        body = "".join(self._groups())
        size = ""
        if width_px:
            size = f' width="{width_px}" height="{number(width_px * scene.height_mm / scene.width_mm)}"'
        box = f"{number(scene.frame[0])} 0 {number(scene.width_mm)} {number(scene.height_mm)}"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}"{size} role="img" '
            f'aria-labelledby="{p}-t {p}-d"><title id="{p}-t">{escape(title)}</title>'
            f'<desc id="{p}-d">{escape(desc)}</desc>{self._definitions()}{body}</svg>'
        )

    def _definitions(self) -> str:
        made = [
            f'<linearGradient id="{name}" x2="0" y2="1"><stop offset="0" stop-color="{g.top}"/>'
            f'<stop offset="1" stop-color="{g.bottom}"/></linearGradient>'
            for g, name in self.gradients.items()
        ]
        made += [
            f'<clipPath id="{name}"><path d="{self.outline(path)}"/></clipPath>'
            for path, name in self.clips.items()
        ]
        return f"<defs>{''.join(made)}</defs>" if made else ""

    def _groups(self) -> Iterator[str]:
        for clip, shapes in groupby(self.scene.shapes, key=lambda shape: shape.clip):
            inside = "".join(map(self._element, shapes))
            if clip is None:
                yield inside
            else:
                name = self.clips.setdefault(clip, f"{self.prefix}-c{len(self.clips)}")
                yield f'<g clip-path="url(#{name})">{inside}</g>'

    def _element(self, shape: Shape) -> str:
        attributes = [f'fill="{self._fill(shape.fill)}"']
        if shape.even_odd:
            attributes.append('fill-rule="evenodd"')
        if shape.stroke:
            attributes.append(f'stroke="{shape.stroke}" stroke-width="{number(shape.stroke_mm)}"')
            # Broad bands end where they were told to; thin lines end softly.
            cap = ' stroke-linecap="round"' if shape.stroke_mm < 25 else ""
            attributes.append(f'stroke-linejoin="round"{cap}')
        if shape.opacity < 1:
            attributes.append(f'opacity="{shape.opacity:g}"')
        name = "" if shape.part == "body" else f' data-part="{shape.part}"'
        return f'<path{name} {" ".join(attributes)} d="{self.outline(shape.path)}"/>'

    def _fill(self, fill: str | Gradient | None) -> str:
        if not isinstance(fill, Gradient):
            return fill or "none"
        return f"url(#{self.gradients.setdefault(fill, f'{self.prefix}-g{len(self.gradients)}')})"

    def outline(self, path: Path) -> str:
        """Return path data in the picture's frame."""
        return outline(path, self.scene.frame[3])


@lru_cache(maxsize=4096)
def outline(path: Path, top: float) -> str:
    """Return path data; z up becomes y down from ``top``. Most shapes stay where they are between looks."""
    return "".join(_segment(segment, top) for segment in path)


def _segment(segment: Segment, top: float) -> str:
    kind = segment[0]
    if kind == "Z":
        return "z"
    if kind == "O":
        x, z, rx, rz = segment[1:]
        arc, across = f"a{number(rx)} {number(rz)} 0 1 0 ", number(2 * rx)
        return f"M{number(x - rx)} {number(top - z)}{arc}{across} 0{arc}-{across} 0z"
    if kind == "A":
        _, radius, large, over, x, z = segment
        return f"A{number(radius)} {number(radius)} 0 {large} {over} {number(x)} {number(top - z)}"
    numbers = segment[1:]
    pairs = zip(numbers[::2], numbers[1::2], strict=True)
    return kind + " ".join(f"{number(x)} {number(top - z)}" for x, z in pairs)
