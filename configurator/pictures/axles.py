"""Wheels from the side, in their openings: to scale, from a look's numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from configurator.fitment.defaults import INCH_MM

from . import tyres
from .brakes import brake
from .geometry import Path, circle_above, ellipse, mapped
from .look import AxleLook, Look
from .shape_spec import Arch, AxleSpec
from .shapes import Shape
from .tones import Gradient, resolve
from .wheels import DESIGNS, Design, bolts, ridges, spokes

# ISO 4000-2: a passenger rim's flange stands 17.3 to 17.5 mm above its nominal diameter; from memory.
FLANGE_MM = 17.5
# A flange is about this thick beyond the nominal width, which is measured between the flanges' insides.
FLANGE_THICK_MM = 12.0
_WELL = Gradient("#060708", "#17191b")
Tone = Callable[[str], str | Gradient]


def wheel(
    axle: AxleSpec, look: AxleLook, whole: Look, position: str, lift: Callable[[float], float]
) -> tuple[Shape, ...]:
    """Return the wheel opening, tyre, brake and wheel of one axle as seen from the side.

    Most looks have the wheels of the look before, so that the last few are remembered.
    """
    coloured = (f"wheel_{position}", f"caliper_{position}", "wheel_caps", "rim_stripe")
    stripe = whole.accent_hex if "rim_stripe" in whole.fitted else None
    key = (look, position, lift(axle.x_mm), stripe, *(whole.colour_of(part) for part in coloured))
    return axle.drawn(key, lambda: tuple(_wheel(axle, look, whole, position, lift)))


def _wheel(
    axle: AxleSpec, look: AxleLook, whole: Look, position: str, lift: Callable[[float], float]
) -> Iterator[Shape]:
    clip = None
    if axle.arch:
        arch, rise = axle.arch, lift(axle.x_mm)
        feet = [z + rise for z in arch.feet_z_mm]
        opening = circle_above(axle.x_mm, arch.centre_z_mm + rise, arch.radius_mm, *feet)
        yield Shape(f"well_{position}", opening, fill=_WELL)
        clip = _below_arch(axle.x_mm, arch, opening, feet)
    for shape in _standing(axle, look, whole, position):
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


def dish_mm(look: AxleLook) -> float:
    """Return how deep the mounting face lies behind the rim's outer edge; a spacer does not change it."""
    return look.wheel_width_in * INCH_MM / 2 + FLANGE_THICK_MM - look.effective_offset_mm - look.spacer_mm


def _standing(axle: AxleSpec, look: AxleLook, whole: Look, position: str) -> Iterator[Shape]:
    """Yield what stands on the road: tyre, rim, brake, spokes, hub."""
    x, z = axle.x_mm, look.tyre_overall_diameter_mm / 2
    rim = look.wheel_diameter_in * INCH_MM / 2
    # Numbers that no tyre has must still draw something.
    edge = max(1.0, min(rim + FLANGE_MM, z - 6))
    part = f"wheel_{position}"
    colour = whole.colour_of(part) or look.wheel_hex
    design = DESIGNS.get(look.wheel_design, DESIGNS["split-five"])
    deep = dish_mm(look) if axle.wheels == 2 else 40.0
    inner = max(0.6 * edge, edge - 6 - design.lip * edge - _step(deep))

    def tone(text: str) -> str | Gradient:
        return resolve(text, colour)

    yield from tyres.side(f"tyre_{position}", x, z, edge)
    yield from _rim(part, x, z, edge, inner, tone)
    # The disc belongs to the vehicle, so it keeps its size on larger wheels.
    disc = min(axle.original.wheel_diameter_in * INCH_MM / 2 * axle.disc_share * 1.12, rim - 34)
    caliper = whole.colour_of(f"caliper_{position}") or look.caliper_hex
    yield from brake(position, x, z, disc, rim - 14, caliper)
    yield from _face(part, design, inner, x, z, deep, tone)
    yield from _middle(part, design, inner, x, z, axle.bolt_count, tone)
    cap = resolve("paint+12~-4", whole.colour_of("wheel_caps") or colour)
    yield Shape("wheel_caps", ellipse(x, z, design.cap * inner * 0.76), fill=cap)
    if "rim_stripe" in whole.fitted:
        stripe = whole.colour_of("rim_stripe") or whole.accent_hex
        yield Shape("rim_stripe", ellipse(x, z, edge - 7), stroke=stripe, stroke_mm=8)


def _step(deep: float) -> float:
    """Return how much of the barrel a dish lets be seen before the spokes begin, in mm."""
    return min(max(deep - 34.0, 0.0) * 0.34, 46.0)


def _rim(part: str, x: float, z: float, edge: float, inner: float, tone: Tone) -> Iterator[Shape]:
    """Yield flange, lip and barrel: lit above outside and below inside, as a bowl is."""
    yield Shape(part, ellipse(x, z, edge), fill=tone("paint+34~+6"))
    yield Shape(part, ellipse(x, z, max(edge - 5, inner)), fill=tone("paint-14~+18"))
    yield Shape(part, ellipse(x, z, inner + (edge - inner) * 0.25), fill=tone("paint-26~+6"))
    yield Shape(part, ellipse(x, z, inner), fill=tone("paint-62~-34"))
    yield Shape(part, ellipse(x, z, inner * 0.9), fill="#0b0c0d", opacity=0.72)
    for start, end, by in ((32.0, 148.0, 46), (222.0, 318.0, 30)):
        glint = tyres.arc(x, z, edge - 3, start, end)
        yield Shape(part, glint, stroke=_flat(tone(f"paint+{by}")), stroke_mm=4.5, opacity=0.75)


def _face(
    part: str, design: Design, inner: float, x: float, z: float, deep: float, tone: Tone
) -> Iterator[Shape]:
    """Yield the spokes over their own shadow; a deep dish takes the light from their middle."""
    reach = inner * 1.035  # the spokes run into the lip
    metal = spokes(design, reach, x, z)
    whole_disc = bool(design.disc)
    if whole_disc:
        yield Shape(part, ellipse(x, z, inner * 0.95), fill="#0b0c0d", opacity=0.6)
    else:
        under = mapped(metal, lambda px, pz: (px + inner * 0.012, pz - inner * 0.03))
        yield Shape(part, under, fill="#050506", opacity=0.55)
    yield Shape(part, metal, fill=tone("paint+12~-8"), even_odd=whole_disc)
    if design.ridges:
        yield Shape(part, ridges(design, reach, x, z), fill=tone("paint+27~+8"))
    shade = min(max((deep - 20.0) / 260.0, 0.0), 0.3)
    if shade:
        for share in (0.7, 0.5):
            yield Shape(part, ellipse(x, z, inner * share), fill="#000000", opacity=round(shade / 2, 3))


def _middle(
    part: str, design: Design, inner: float, x: float, z: float, bolt_count: int, tone: Tone
) -> Iterator[Shape]:
    """Yield hub, bolts in their pockets, and the seat of the cap."""
    hub, cap = design.hub * inner, design.cap * inner
    yield Shape(part, ellipse(x, z, hub), fill=tone("paint+10~-10"))
    if design.bolts and bolt_count:
        size, circle = max(8.0, hub * 0.15), (hub + cap) / 2
        yield Shape(part, bolts(bolt_count, circle, size, x, z), fill=_flat(tone("paint-34")))
        yield Shape(part, bolts(bolt_count, circle, size * 0.62, x, z), fill=_flat(tone("paint+16")))
    yield Shape(part, ellipse(x, z, cap), fill=tone("paint-16~+8"))


def _flat(colour: str | Gradient) -> str:
    return colour if isinstance(colour, str) else colour.top
