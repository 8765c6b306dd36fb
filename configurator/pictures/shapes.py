"""One coloured outline of a scene."""

from __future__ import annotations

from dataclasses import dataclass

from .geometry import Path
from .tones import Gradient


@dataclass(frozen=True)
class Shape:
    """An outline in mm with its colours; ``clip`` is an outline outside of which nothing shows.

    ``part`` is a name of the vocabulary, or one of ``shadow``, ``well_*``, ``tyre_*``, ``disc_*``.
    """

    part: str
    path: Path
    fill: str | Gradient | None = None
    stroke: str | None = None
    stroke_mm: float = 0.0
    opacity: float = 1.0
    even_odd: bool = False
    clip: Path | None = None
