"""Wheels from the side, tyres from the front and the rear: to scale, from a look's numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from .body import Body
from .geometry import Path, circle_above, ellipse, rounded
from .look import AxleLook, Look
from .shape_spec import Arch, AxleSpec
from .shapes import Shape
from .tones import Gradient, resolve
from .wheels import DESIGNS, bolts, ridges, spokes

# ISO 4000-2: a passenger rim's flange stands 17.3 to 17.5 mm above its nominal diameter; from memory.
FLANGE_MM = 17.5
_RUBBER, _RUBBER_EDGE, _RUBBER_FAR = "#26282b", "#3a3d41", "#131416"
_WELL, _BARREL = "#101214", "#1a1d20"


def wheel(
    axle: AxleSpec, look: AxleLook, whole: Look, position: str, lift: Callable[[float], float]
) -> Iterator[Shape]:
    """Yield the wheel opening, tyre, brake and wheel of one axle as seen from the side."""
    clip = None
    if axle.arch:
        arch, rise = axle.arch, lift(axle.x_mm)
        feet = [z + rise for z in arch.feet_z_mm]
        opening = circle_above(axle.x_mm, arch.centre_z_mm + rise, arch.radius_mm, *feet)
        yield Shape(f"well_{position}", opening, fill=_WELL)
        clip = _below_arch(axle.x_mm, arch, opening, feet)
    for shape in _wheel_shapes(axle, look, whole, position):
        yield replace(shape, clip=clip)


def _below_arch(x: float, arch: Arch, opening: Path, feet: list[float]) -> Path:
    """Return the outline of what the body leaves free: the opening and all below it."""
    reach = 3 * arch.radius_mm
    left, arc = opening[0], opening[1]
    return (
        ("M", x - reach, feet[0]),
        ("L", *left[1:]),
        arc,
        ("L", x + reach, feet[1]),
        ("L", x + reach, -300.0),
        ("L", x - reach, -300.0),
        ("Z",),
    )


def _wheel_shapes(axle: AxleSpec, look: AxleLook, whole: Look, position: str) -> Iterator[Shape]:
    x, tyre_radius = axle.x_mm, look.tyre_overall_diameter_mm / 2
    rim = look.wheel_diameter_in * 25.4 / 2
    # Numbers that no tyre has must still draw something.
    edge = max(1.0, min(rim + FLANGE_MM, tyre_radius - 6))
    yield from _tyre(f"tyre_{position}", x, tyre_radius, edge)
    colour = whole.colour_of(f"wheel_{position}") or look.wheel_hex
    design = DESIGNS.get(look.wheel_design, DESIGNS["split-five"])
    part = f"wheel_{position}"

    def tone(text: str) -> str | Gradient:
        return resolve(text, colour)

    inner = edge * (1 - design.lip)
    yield Shape(part, ellipse(x, tyre_radius, edge), fill=tone("paint+12~-12"))
    yield Shape(part, ellipse(x, tyre_radius, inner), fill=_BARREL)
    yield from _brake(axle, look, whole, position, rim)
    yield Shape(part, ellipse(x, tyre_radius, inner - 5), stroke=_flat(tone("paint-16")), stroke_mm=10)
    metal = spokes(design, inner, x, tyre_radius)
    yield Shape(part, metal, fill=tone("paint+7~-7"), even_odd=bool(design.disc))
    if design.ridges:
        yield Shape(part, ridges(design, inner, x, tyre_radius), fill=tone("paint+19~+6"))
    yield from _middle(
        part, design.hub * inner, design.cap * inner, x, tyre_radius, axle.bolt_count * design.bolts, tone
    )
    cap = resolve("paint+10~-4", whole.colour_of("wheel_caps") or colour)
    yield Shape("wheel_caps", ellipse(x, tyre_radius, design.cap * inner * 0.72), fill=cap)
    if "rim_stripe" in whole.fitted:
        stripe = whole.colour_of("rim_stripe") or whole.accent_hex
        yield Shape("rim_stripe", ellipse(x, tyre_radius, edge - 7), stroke=stripe, stroke_mm=8)


def _flat(colour: str | Gradient) -> str:
    return colour if isinstance(colour, str) else colour.top


def _tyre(part: str, x: float, radius: float, edge: float) -> Iterator[Shape]:
    """Yield the tyre; a light edge at the shoulder and one at the bead make the sidewall round."""
    yield Shape(part, ellipse(x, radius, radius), fill=Gradient("#2c2f32", "#1a1b1d"))
    wall = radius - edge
    if wall > 40:
        yield Shape(part, ellipse(x, radius, radius - wall * 0.24), stroke=_RUBBER_EDGE, stroke_mm=5)
        yield Shape(part, ellipse(x, radius, edge + wall * 0.22), stroke="#101113", stroke_mm=6)


def _brake(axle: AxleSpec, look: AxleLook, whole: Look, position: str, rim: float) -> Iterator[Shape]:
    """Yield disc and caliper; the disc belongs to the vehicle, so it keeps its size on larger wheels."""
    original_rim = axle.original.wheel_diameter_in * 25.4 / 2
    radius = min(original_rim * axle.disc_share * 1.12, rim - 34)
    if radius <= 0:
        return
    x, z = axle.x_mm, look.tyre_overall_diameter_mm / 2
    part = f"disc_{position}"
    yield Shape(part, ellipse(x, z, radius), fill=Gradient("#9aa0a5", "#6d7378"))
    yield Shape(part, ellipse(x, z, radius * 0.62), fill="#4c5156")
    caliper = f"caliper_{position}"
    colour = whole.colour_of(caliper) or look.caliper_hex
    # Calipers sit behind a front axle and before a rear one on most cars, out of the road's dirt.
    middle = 20.0 if position == "front" else 160.0
    outer = min(radius + 16, rim - 14)
    yield Shape(caliper, _sector(x, z, radius * 0.58, outer, middle, 58), fill=resolve("paint+6~-8", colour))


def _sector(x: float, z: float, inner: float, outer: float, middle: float, width: float) -> Path:
    """Return a piece of a ring round ``middle`` degrees counter-clockwise from the right."""

    def at(radius: float, degrees: float) -> tuple[float, float]:
        angle = math.radians(degrees)
        return x + radius * math.cos(angle), z + radius * math.sin(angle)

    high, low = middle + width / 2, middle - width / 2
    return (
        ("M", *at(outer, high)),
        ("A", outer, 0, 1, *at(outer, low)),
        ("L", *at(inner, low)),
        ("A", inner, 0, 0, *at(inner, high)),
        ("Z",),
    )


def _middle(
    part: str,
    hub: float,
    cap: float,
    x: float,
    z: float,
    bolt_count: int,
    tone: Callable[[str], str | Gradient],
) -> Iterator[Shape]:
    """Yield hub, bolt heads and the seat of the cap."""
    yield Shape(part, ellipse(x, z, hub), fill=tone("paint+4~-8"))
    if bolt_count:
        yield Shape(
            part, bolts(bolt_count, (hub + cap) / 2, max(7.0, hub * 0.12), x, z), fill=_flat(tone("paint-26"))
        )
    yield Shape(part, ellipse(x, z, cap), fill=tone("paint-12~+4"))


def tyres(body: Body, look: Look, position: str, *, with_farther: bool) -> Iterator[Shape]:
    """Yield an axle's tyres as seen along the vehicle, those of the farther axle first and darker."""
    if with_farther:
        farther = "rear" if position == "front" else "front"
        yield from _tyres_of(body.axle(farther), look.axle(farther), farther, far=True)
    yield from _tyres_of(body.axle(position), look.axle(position), position, far=False)


def _tyres_of(axle: AxleSpec, look: AxleLook, position: str, *, far: bool) -> Iterator[Shape]:
    outer = axle.hub_face_mm + look.face_mm
    inner = outer - look.tyre_section_width_mm
    sides = ((inner, outer), (-outer, -inner)) if axle.wheels == 2 else ((inner, outer),)
    for left, right in sides:
        yield from _tyre_along(f"tyre_{position}", left, right, look, axle.wheels == 1, far)


def _tyre_along(
    part: str, left: float, right: float, look: AxleLook, round_tread: bool, far: bool
) -> Iterator[Shape]:
    """Yield one tyre's tread; a motorcycle's is round across."""
    height, width = look.tyre_overall_diameter_mm, right - left
    cut = width * (0.5 if round_tread else 0.16)
    deep = cut * (1.5 if round_tread else 1.3)
    corners = [(left, 0, cut), (right, 0, cut), (right, height, cut), (left, height, cut)]
    path = rounded([(*c[:2], deep if round_tread else cut) for c in corners])
    if far:
        yield Shape(part, path, fill=_RUBBER_FAR)
        return
    yield Shape(part, path, fill=Gradient("#1b1d1f", "#2d3033"))
    if round_tread:
        return
    for share in (0.27, 0.5, 0.73):
        groove = left + width * share
        line = (("M", groove, 14.0), ("L", groove, height - 14.0))
        yield Shape(part, line, stroke="#121315", stroke_mm=max(4.0, width * 0.035))
