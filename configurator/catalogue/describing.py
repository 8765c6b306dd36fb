"""What the columns of each kind may hold, told from their declarations: for forms and for the docs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt
from pydantic_core import PydanticUndefined

from configurator.pictures.wheels import DESIGNS

from .declared import table_fields
from .rows import Row

DRAWN = {"design": tuple(sorted(DESIGNS))}
"""Words that a picture knows."""
NUMBERS = {int: "whole number", float: "number", Decimal: "decimal number"}
WORDS = {**NUMBERS, bool: "yes or no", date: "day such as 2027-01-01"}


@dataclass(frozen=True)
class Column:
    """One column: its name, what type of value it holds, and what bounds it has.

    ``choices`` are the words it may hold; ``refers`` the kind whose codes it names; ``is_list`` whether
    several; ``inner`` the columns of rows within it; ``low`` and ``high`` bounds as text such as ``> 0``.
    """

    name: str
    base: type
    required: bool
    default: Any
    choices: tuple[str, ...] = ()
    refers: str = ""
    is_list: bool = False
    is_profile: bool = False
    is_long: bool = False
    inner: tuple[Column, ...] = ()
    bounds: tuple[str, ...] = ()
    help: str = ""

    @property
    def is_number(self) -> bool:
        """Whether figures stand in it."""
        return self.base in NUMBERS and not self.choices and not self.is_list

    @property
    def type_words(self) -> str:
        """Return the type in English words, for the docs."""
        if self.is_profile:
            return "pairs radius:y, by blanks"
        if self.inner:
            return "rows of their own"
        if self.choices:
            return "one of " + ", ".join(f"`{one}`" for one in self.choices if one)
        if self.refers:
            return f"{'codes' if self.is_list else 'code'} of {self.refers.replace('_', ' ')}"
        if self.is_list:
            return "words, by blanks"
        return WORDS.get(self.base, "text")


@cache
def columns(schema: type[Row]) -> tuple[Column, ...]:
    """Return the columns of a row in the order of its declaration."""
    return tuple(_column(schema, name) for name in schema.model_fields)


def _column(schema: type[Row], name: str) -> Column:
    declared = schema.model_fields[name]
    stored = table_fields(schema.tables).get(name)
    parts = list(_parts(declared.annotation))
    bases = [part for part in parts if isinstance(part, type) and part is not type(None)]
    choices = tuple(str(one) for part in parts if get_origin(part) is Literal for one in get_args(part))
    choices = choices if any(choices) else ()
    if not choices and stored is not None and stored.flatchoices:
        choices = tuple(str(key) for key, _label in stored.flatchoices)
    choices = choices or DRAWN.get(name, ())
    inner = next((one for one in bases if issubclass(one, Row)), None) if name in schema.nested else None
    is_list = any(get_origin(part) is list for part in parts)
    bounds = [*declared.metadata, *(one for part in parts for one in _bounds(part))]
    limit = getattr(stored, "max_length", None)
    return Column(
        name=name,
        base=next((one for one in bases if not issubclass(one, Row)), str),
        required=declared.is_required(),
        default=None if declared.default is PydanticUndefined else declared.default,
        choices=choices,
        refers={**schema.refs, **schema.many, **schema.lists}.get(name, ""),
        is_list=is_list,
        is_profile=is_list and any(get_origin(part) is tuple for part in parts),
        is_long=stored is not None and stored.get_internal_type() == "TextField",
        inner=columns(inner) if inner else (),
        bounds=(*_told(bounds), *([f"at most {limit} characters"] if limit and not choices else [])),
        help=str(getattr(stored, "help_text", "")),
    )


def _parts(annotation: Any) -> Iterator[Any]:
    """Yield a type with every type within it, unions and annotations taken apart."""
    yield annotation
    origin = get_origin(annotation)
    if origin in (Union, UnionType, list, tuple):
        for one in get_args(annotation):
            yield from _parts(one)
    elif origin is Annotated:
        yield from _parts(get_args(annotation)[0])


def _bounds(part: Any) -> tuple[Any, ...]:
    return part.__metadata__ if get_origin(part) is Annotated else ()


def _told(bounds: list[Any]) -> Iterator[str]:
    seen = []
    for one in [inner for bound in bounds for inner in (bound, *getattr(bound, "metadata", ()))]:
        for kind, name, words in ((Gt, "gt", "> "), (Ge, "ge", "≥ "), (Lt, "lt", "< "), (Le, "le", "≤ ")):
            value = getattr(one, name, None) if isinstance(one, kind) else None
            if value is not None and (told := f"{words}{value}") not in seen:
                seen.append(told)
                yield told
