"""The build's pictures for pages and link previews, in the reader's words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from configurator.builds.axles import section_svg
from configurator.builds.evaluation import Problem
from configurator.builds.looks import body_of, look_of
from configurator.builds.resolve import resolve
from configurator.builds.selection import Selection
from configurator.builds.sentences import say
from configurator.catalogue.snapshot import Catalogue
from configurator.pictures import DESIGNS, Scene, Shape, scene, share_card, to_svg
from configurator.pictures.geometry import ellipse
from configurator.pictures.png import CARD_SIZE as CARD_PX
from configurator.pictures.wheels import spokes

from .told import told, worded

__all__ = ["CARD_PX", "card_png", "pictures", "vehicle_picture", "wheel_picture", "wheel_symbols"]

VIEWS = ("side", "front", "rear")
PLAIN = "split-five"


def pictures(selection: Selection, catalogue: Catalogue, *, prefix: str = "v") -> dict[str, SafeString]:
    """Return the three views as SVG by ``picture_side`` and so on; empty when there is no drawing.

    ``prefix`` begins their ids: give each vehicle on a page its own.
    """
    found = look_of(selection, catalogue)
    if found is None:
        return {f"picture_{view}": SafeString("") for view in VIEWS}
    body, look = found
    said = said_of(selection, catalogue)
    titles = {"side": gettext("Side view"), "front": gettext("Front view"), "rear": gettext("Rear view")}
    return {
        f"picture_{view}": _marked(
            to_svg(scene(body, look, view), titles[view], said, prefix=f"{prefix}-{view}")
        )
        for view in VIEWS
    }


def vehicle_picture(generation: str, hex_: str, catalogue: Catalogue) -> SafeString:
    """Return the vehicle as it comes from its maker, from the side."""
    body = body_of(generation, catalogue)
    if body is None:
        return SafeString("")
    view = scene(body, body.original_look(hex_), "side")
    return _marked(to_svg(view, str(catalogue.generations[generation]), "", prefix=f"g-{generation}"))


def said_of(selection: Selection, catalogue: Catalogue) -> str:
    """Return what the picture shows in words, for those who do not see it."""
    wheels = [catalogue.wheels.get(code) for code in (selection.front.wheel, selection.rear.wheel) if code]
    parts = [str(catalogue.generations[selection.generation]), _colour_said(selection, catalogue)]
    parts += list(dict.fromkeys(str(wheel) for wheel in wheels if wheel))
    parts += [told(o.name) for code in selection.options if (o := catalogue.options.get(code))]
    return "; ".join(part for part in parts if part)


def _colour_said(selection: Selection, catalogue: Catalogue) -> str:
    if selection.body_hex is not None:
        code = selection.body_code
        return told(say("body_by_code", code=code) if code else say("body_code_to_read"))
    finish = catalogue.finishes.get(selection.body_finish or "")
    return told(finish.name) if finish else ""


def card_png(selection: Selection, title: str, lines: list[str], catalogue: Catalogue) -> bytes | None:
    """Return the picture card, or ``None`` when there is no drawing of the vehicle."""
    found = look_of(selection, catalogue)
    if found is None:
        return None
    body, look = found
    footer = catalogue.workshop.name if catalogue.workshop else ""
    scenes = [scene(body, look, view) for view in VIEWS]
    return share_card(scenes, title, lines, footer=footer, accent_hex=look.accent_hex)


def section(selection: Selection, position: str, catalogue: Catalogue) -> str | None:
    """Return an axle's cross-section in the reader's language, ``None`` when nothing is chosen there."""
    build = resolve(selection, catalogue)
    rows = [] if isinstance(build, Problem) else [r for r in build.axles if r.position == position]
    if not rows or not rows[0].changed:
        return None
    return section_svg(rows[0], catalogue, worded)


def _marked(svg: str) -> SafeString:
    """Mark our own drawing as safe: its writer escapes every text and takes no markup from anyone."""
    return mark_safe(svg)  # noqa: S308


def wheel_symbols(designs: Iterable[str]) -> SafeString:
    """Return each design once, as SVG symbols that the wheel pictures of a page refer to."""
    symbols = (f'<symbol id="{_symbol(d)}" viewBox="-100 0 200 200">{_drawn(d)}</symbol>' for d in designs)
    return _marked(f'<svg class="visually-hidden" aria-hidden="true"><defs>{"".join(symbols)}</defs></svg>')


def wheel_picture(design: str, hex_: str) -> SafeString:
    """Return one wheel in its finish; the page must hold the design's symbol."""
    return format_html(
        '<svg viewBox="0 0 56 56" aria-hidden="true" focusable="false">'
        '<circle cx="28" cy="28" r="28" fill="#222528"/>'
        '<circle cx="28" cy="28" r="22" fill="#3a3d40" stroke="{0}" stroke-width="2"/>'
        '<use href="#{1}" x="6" y="6" width="44" height="44" fill="{0}"/></svg>',
        hex_,
        _symbol(design),
    )


def _symbol(design: str) -> str:
    return f"w-{design if design in DESIGNS else PLAIN}"


@lru_cache(maxsize=64)
def _drawn(design: str) -> str:
    """Return a design's metal and middle as SVG paths, in the colour of whoever uses it."""
    shape = DESIGNS.get(design, DESIGNS[PLAIN])
    parts = [Shape("wheel", spokes(shape, 98, 0, 0), fill="#000000", even_odd=bool(shape.disc))]
    parts.append(Shape("wheel", ellipse(0, 0, max(shape.hub, shape.cap) * 98), fill="#000000"))
    view = Scene("side", tuple(parts), (-100, -100, 100, 100))
    paths = re.findall(r"<path[^>]*/>", to_svg(view, "", ""))
    return "".join(re.sub(r' fill="[^"]*"| data-part="[^"]*"', "", path) for path in paths)
