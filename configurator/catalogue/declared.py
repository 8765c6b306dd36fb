"""What a catalogue field may hold, where that is declared already: by the table and by the fitment engine.

A row of a file says which tables it fills and which part it becomes for fitment. A value is then judged by
the declarations of both: length, choices, digits and pattern are the table's, physical bounds and written
forms (threads, seats) the engine's. So what the loader or a form lets in, the engine takes.
"""

from __future__ import annotations

from functools import cache
from typing import Any, get_type_hints

from django.core.exceptions import ValidationError as DjangoValidationError
from django.db import models
from pydantic import TypeAdapter, ValidationError
from pydantic_core import PydanticKnownError

from . import messages


def judge_by_table(field: models.Field[Any, Any], value: Any) -> None:
    """Raise what is wrong with a value in the terms of a row's schema; relations are judged elsewhere."""
    if field.is_relation or value is None:
        return
    if value == "":
        if not field.blank:
            raise PydanticKnownError("string_too_short", {"min_length": 1})
        return
    choices = _choices(field)
    if choices and value not in choices:
        raise PydanticKnownError("literal_error", {"expected": messages.listed(choices)})
    longest = getattr(field, "max_length", None)
    if longest is not None and isinstance(value, str) and len(value) > longest:
        raise PydanticKnownError("string_too_long", {"max_length": longest})
    for validator in field.validators:
        try:
            validator(value)
        except DjangoValidationError as error:
            raise ValueError(" ".join(error.messages)) from None


def judge_by_engine(part: type, name: str, value: Any) -> None:
    """Raise what keeps fitment from taking a value as the part's field of that name, if it has one."""
    adapter = _adapters(part).get(name)
    if adapter is None or value in (None, ""):
        return
    try:
        adapter.validate_python(value)
    except ValidationError as error:
        first: Any = error.errors(include_url=False)[0]
        place = [step for step in first["loc"] if isinstance(step, int)]
        if first["type"] == "value_error":
            raise ValueError(messages.as_sentence(str(first["ctx"]["error"]))) from None
        if place:
            raise ValueError(f"{place[0] + 1}: {messages.plain(first['type'], first, name)}") from None
        raise PydanticKnownError(first["type"], first.get("ctx")) from None


@cache
def _choices(field: models.Field[Any, Any]) -> list[str]:
    return [str(key) for key, _ in field.flatchoices]


@cache
def _adapters(part: type) -> dict[str, TypeAdapter[Any]]:
    return {name: TypeAdapter(kind) for name, kind in get_type_hints(part, include_extras=True).items()}


@cache
def table_fields(tables: tuple[type[models.Model], ...]) -> dict[str, models.Field[Any, Any]]:
    """Return the columns of the tables that a row fills, by name."""
    return {field.name: field for table in tables for field in table._meta.fields}
