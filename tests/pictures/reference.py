"""A second way to rasterise a scene, with Pillow's polygons alone, to check the first one against.

It flattens curves itself, draws at several times the size, fills by painter's order and averages down.
"""

import math

import numpy as np
from PIL import Image, ImageChops, ImageDraw

from configurator.pictures.tones import Gradient

FINE = 4


def _arc(start, radius, large, over, end):
    """Return points along a circle's arc (SVG 1.1, appendix F.6.5, for equal radii); z is up."""
    half = ((start[0] - end[0]) / 2, (start[1] - end[1]) / 2)
    square = half[0] ** 2 + half[1] ** 2
    radius = max(radius, math.sqrt(square))
    factor = math.sqrt(max(radius**2 / square - 1, 0)) * (1 if large == over else -1)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    centre = (middle[0] + factor * half[1], middle[1] - factor * half[0])
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (last - first) % math.tau
    turn = turn - math.tau if over else turn
    return [
        (centre[0] + radius * math.cos(first + turn * t), centre[1] + radius * math.sin(first + turn * t))
        for t in np.linspace(0, 1, 48)[1:]
    ]


def flattened(path):
    """Return the path's outlines as lists of points."""
    outlines, here = [], []
    for kind, *n in path:
        if kind == "M":
            here = [tuple(n)]
            outlines.append(here)
        elif kind == "L":
            here.append(tuple(n))
        elif kind == "Q":
            (x0, z0), (x1, z1, x2, z2) = here[-1], n
            for t in np.linspace(0, 1, 17)[1:]:
                a, b, c = (1 - t) ** 2, 2 * t * (1 - t), t * t
                here.append((a * x0 + b * x1 + c * x2, a * z0 + b * z1 + c * z2))
        elif kind == "A":
            radius, large, over, x, z = n
            here += _arc(here[-1], radius, large, over, (x, z))
        elif kind == "O":
            x, z, rx, rz = n
            angles = np.linspace(0, math.tau, 97)[:-1]
            outlines.append([(x + rx * math.cos(a), z + rz * math.sin(a)) for a in angles])
    return outlines


class Raster:
    """Draws one scene, ``width_px`` wide, on white."""

    def __init__(self, scene, width_px):
        self.scene = scene
        self.scale = width_px / scene.width_mm
        self.size = (width_px, round(scene.height_mm * self.scale))
        self.clips = {}
        self.canvas = np.full((self.size[1], self.size[0], 3), 255.0)

    def image(self):
        for shape in self.scene.shapes:
            outlines = flattened(shape.path)
            clip = self._clip(shape.clip) if shape.clip else None
            if shape.fill:
                self._lay(self._mask(outlines, shape.even_odd), self._ink(shape.fill, outlines), shape, clip)
            if shape.stroke:
                closed = shape.path[-1][0] in "ZO"
                self._lay(
                    self._stroke(outlines, shape.stroke_mm, closed), self._flat(shape.stroke), shape, clip
                )
        return Image.fromarray(np.rint(self.canvas).astype(np.uint8))

    def _at(self, point, fine=FINE):
        left, top = self.scene.frame[0], self.scene.frame[3]
        return (point[0] - left) * self.scale * fine - 0.5, (top - point[1]) * self.scale * fine - 0.5

    def _new(self):
        return Image.new("1", (self.size[0] * FINE, self.size[1] * FINE))

    def _down(self, mask):
        small = mask.convert("L").resize(self.size, Image.Resampling.BOX)
        return np.asarray(small, float)[..., None] / 255

    def _mask(self, outlines, even_odd):
        whole = self._new()
        for outline in outlines:
            one = self._new()
            ImageDraw.Draw(one).polygon([self._at(p) for p in outline], fill=1)
            whole = ImageChops.logical_xor(whole, one) if even_odd else ImageChops.logical_or(whole, one)
        return self._down(whole)

    def _clip(self, path):
        if path not in self.clips:
            self.clips[path] = self._mask(flattened(path), False)
        return self.clips[path]

    def _stroke(self, outlines, width_mm, closed):
        mask = self._new()
        draw = ImageDraw.Draw(mask)
        width = width_mm * self.scale * FINE
        for outline in outlines:
            points = [self._at(p) for p in outline]
            points += points[:2] if closed else []
            draw.line(points, fill=1, width=max(1, round(width)), joint="curve")
            if not closed and width_mm < 25:
                for x, y in (points[0], points[-1]):
                    draw.ellipse((x - width / 2, y - width / 2, x + width / 2, y + width / 2), fill=1)
        return self._down(mask)

    def _flat(self, colour):
        return np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)], float)

    def _ink(self, fill, outlines):
        if not isinstance(fill, Gradient):
            return self._flat(fill)
        heights = [self._at(p, 1)[1] + 0.5 for outline in outlines for p in outline]
        rows = (np.arange(self.size[1]) + 0.5 - min(heights)) / (max(heights) - min(heights))
        share = np.clip(rows, 0, 1)[:, None, None]
        return self._flat(fill.top) * (1 - share) + self._flat(fill.bottom) * share

    def _lay(self, mask, ink, shape, clip):
        cover = mask * shape.opacity
        if clip is not None:
            cover = cover * clip
        self.canvas = self.canvas * (1 - cover) + ink * cover
