"""The drawing on a measuring card: one axle's end in section, its hub from the front, and the fastener.

Not to scale and of no vehicle: it shows where each letter of the card is measured. Plain SVG of our own.
"""

from __future__ import annotations

from collections.abc import Iterable

from .measured import Measured

INK, SOFT, SPOT, FILL = "#1a2320", "#69766f", "#0c5361", "#e8ece5"
SIZE = (760, 430)
Point = tuple[float, float]
# Where each letter's dimension line runs: two ends, and where the letter stands.
SPANS: dict[str, tuple[Point, Point, Point]] = {
    "E": ((150, 150), (290, 150), (220, 143)),
    "F": ((290, 60), (395, 60), (342, 53)),
    "G": ((262, 205), (262, 300), (250, 250)),
    "H": ((405, 120), (432, 92), (440, 116)),
    "I": ((318, 300), (318, 78), (330, 190)),
    "J": ((455, 300), (455, 180), (468, 245)),
    "K": ((290, 395), (90, 395), (190, 388)),
    "A": ((560, 84), (640, 84), (600, 76)),
    "B": ((585, 135), (615, 135), (600, 160)),
    "C": ((560, 300), (640, 300), (600, 292)),
    "D": ((640, 350), (716, 350), (678, 342)),
}


def drawing(fields: Iterable[Measured]) -> str:
    """Return the drawing with the letters of these fields."""
    letters = {one.letter for one in fields}
    parts = [*_axle_end(), *_hub(), *_fastener()]
    parts += [_span(letter, *SPANS[letter]) for letter in sorted(letters & SPANS.keys())]
    width, height = SIZE
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'font-family="IBM Plex Sans Condensed, sans-serif" font-size="20">{"".join(parts)}</svg>'
    )


def _path(data: str, *, fill: str = "none", dash: str = "", width: float = 2, ink: str = INK) -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path d="{data}" fill="{fill}" stroke="{ink}" stroke-width="{width}"{dashed}/>'


def _axle_end() -> list[str]:
    """Return strut, hub, brake, wheel (broken line) and wheel arch, seen from the front; outside is right."""
    return [
        _path("M40 330 H500", ink=SOFT, dash="2 4", width=1),
        _path("M100 40 L128 40 L168 250 L140 250 Z", fill=FILL),
        _path("M140 262 L290 285 L290 315 L140 300 Z", fill=FILL),
        _path("M290 258 H270 V342 H290 Z", fill=FILL),
        _path("M290 285 H304 V315 H290 Z", fill=FILL),
        _path("M270 205 H256 V395 H270 Z", fill="#fff"),
        _path("M246 200 H300 V236 H246 Z", fill=FILL),
        _path("M190 96 H392 M190 96 L196 108 H386 L392 96", dash="7 4", ink=SOFT),
        _path("M196 108 V150 L290 190 M386 108 V150 L300 190 M290 190 V260", dash="7 4", ink=SOFT),
        _path("M176 90 Q176 76 196 76 H388 Q408 76 408 90 L404 118 M176 90 L180 118", dash="7 4", ink=SOFT),
        _path("M120 30 C230 18 360 24 395 46 V72 M395 46 C430 60 446 110 446 180", width=3),
        _path("M290 20 V400", dash="10 3 2 3", ink=SPOT, width=1),
    ]


def _hub() -> list[str]:
    """Return the hub from the front: holes on their circle, the spigot within."""
    middle: Point = (600, 135)
    holes = [(600, 84), (648, 119), (630, 176), (570, 176), (552, 119)]
    rings = [(middle, 75, "#fff"), (middle, 51, "none"), (middle, 16, FILL), *((h, 9, FILL) for h in holes)]
    return [
        f'<circle cx="{x}" cy="{y}" r="{r}" fill="{fill}" stroke="{INK}" stroke-width="2"/>'
        for (x, y), r, fill in rings
    ]


def _fastener() -> list[str]:
    """Return the original bolt beside the hub that it goes into."""
    return [
        _path("M530 304 H556 L572 318 H640 V334 H572 L556 348 H530 Z", fill=FILL),
        _path("M640 308 H716 V344 H640 Z", fill="#fff"),
        _path("M640 318 H716 M640 334 H716", dash="3 3"),
        _path("M736 300 V352", width=3),
    ]


def _span(letter: str, start: Point, end: Point, place: Point) -> str:
    (x1, y1), (x2, y2) = start, end
    dots = "".join(f'<circle cx="{x}" cy="{y}" r="3.5" fill="{SPOT}"/>' for x, y in (start, end))
    return (
        f'<path d="M{x1} {y1} L{x2} {y2}" stroke="{SPOT}" stroke-width="2.5"/>{dots}'
        f'<circle cx="{place[0]}" cy="{place[1]}" r="13" fill="#fff" stroke="{SPOT}" stroke-width="2"/>'
        f'<text x="{place[0]}" y="{place[1] + 7}" text-anchor="middle" font-weight="700" '
        f'fill="{SPOT}">{letter}</text>'
    )
