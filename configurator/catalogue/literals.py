"""The words that rules and options may use: option codes, parts of an axle, tags, picture parts.

A literal is an option's code, ``front-wheel:CODE`` (also rear, tyre, spacer), ``tag:word``, or any of
these after ``!``. A one-of family of parts also has the part that changes nothing: ``front-wheel:original``,
``front-tyre:original``, ``front-spacer:none``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.utils.translation import gettext as _

from configurator.fitment import TyreDesignationError, parse_tyre
from configurator.pictures.vocabulary import PARTS
from configurator.pictures.wheels import DESIGNS

POSITIONS = ("front", "rear")
PART_KINDS = {"wheel": "wheels", "tyre": "tyres", "spacer": "spacers"}
NAMED = ("options", *PART_KINDS.values())
UNCHANGED = {"wheel": "original", "tyre": "original", "spacer": "none"}


def part_code(position: str, kind: str, code: str | None) -> str:
    """Return the literal of a part on an axle; None is the part that changes nothing."""
    return f"{position}-{kind}:{code or UNCHANGED[kind]}"


def wheel_tags(finish: str, diameter_in: float, width_in: float) -> tuple[str, ...]:
    """Return the tags of a new wheel, by the code of its finish and its size in inches."""
    tags = ["wheel-new", f"wheel-{finish}", f"wheel-{diameter_in:g}in"]
    if "black" in finish.split("-"):
        tags.append("wheel-black")
    if width_in >= 9:
        tags.append("wheel-wide")
    return tuple(tags)


def tyre_tags(designation: str) -> tuple[str, ...]:
    """Return the tags of a new tyre; the load construction is read from the marking (UN R54: C)."""
    kind = (
        "commercial" if not tyre_problem(designation) and parse_tyre(designation).commercial else "passenger"
    )
    return ("tyre-new", f"tyre-{kind}")


def spacer_tags(kind: str, thickness_mm: float) -> tuple[str, ...]:
    """Return the tags of a spacer."""
    tags = ["spacer-fitted", f"spacer-{kind.replace('_', '-')}"]
    if thickness_mm > 20:
        tags.append("spacer-over-20mm")
    return tuple(tags)


def vocabulary(known: Any) -> tuple[set[str], set[str]]:
    """Return every literal without sign that may be named, and every tag, from judged rows."""
    codes = {row.code for row in known.some("options")}
    tags = {tag for row in known.some("options") for tag in row.tags}
    for kind, namespace in PART_KINDS.items():
        parts = [None, *(row.code for row in known.some(namespace))]
        codes |= {part_code(position, kind, code) for position in POSITIONS for code in parts}
    on_parts: set[str] = set()
    for row in known.some("wheels"):
        on_parts |= set(wheel_tags(row.finish, row.diameter_in, row.width_in))
    for row in known.some("tyres"):
        on_parts |= set(tyre_tags(row.designation))
    for row in known.some("spacers"):
        on_parts |= set(spacer_tags(row.kind, row.thickness_mm))
    return codes, tags | on_parts | {f"{position}-{tag}" for position in POSITIONS for tag in on_parts}


def problem(literal: str, codes: set[str], tags: set[str]) -> str:
    """Return what is wrong with a literal, or nothing."""
    name = literal.removeprefix("!")
    if name.startswith("tag:"):
        return "" if name[4:] in tags else _("No option or part has the tag ‘%(name)s’.") % {"name": name[4:]}
    return (
        "" if name in codes else _("‘%(name)s’ is neither an option nor a part of an axle.") % {"name": name}
    )


def shape(
    kind: str, if_all: Iterable[str], then_any: Iterable[str], brings: bool
) -> Iterator[tuple[str, str]]:
    """Yield the field and message where a rule lacks what its kind needs."""
    conditions = list(if_all)
    if not conditions:
        yield "if_all", _("A rule needs a condition.")
    if kind == "needs" and not list(then_any):
        yield "then_any", _("Say what is needed: one of these must be chosen.")
    if kind == "excludes" and len(conditions) < 2:
        yield "if_all", _("Name at least two that do not go together.")
    if kind != "needs" and list(then_any):
        yield "then_any", _("Only a rule of the kind ‘needs’ has these.")
    if kind == "brings" and not brings:
        yield "brings", _("Say which items it brings.")
    if kind != "brings" and brings:
        yield "brings", _("Only a rule of the kind ‘brings’ has these.")


def tyre_problem(designation: str) -> str:
    """Return why a tyre designation cannot be read, or nothing."""
    try:
        parse_tyre(designation)
    except TyreDesignationError as error:
        return _("‘%(designation)s’ is not a tyre designation: %(error)s.") % {
            "designation": designation,
            "error": error,
        }
    return ""


def is_picture_part(name: str) -> bool:
    """Whether the drawing has a part of that name; an option need not change the drawing."""
    return not name or name in PARTS


def is_design(name: str) -> bool:
    """Whether there is a drawn wheel design of that name."""
    return name in DESIGNS
