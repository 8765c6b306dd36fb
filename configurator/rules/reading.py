"""Reads a problem from plain JSON values and gathers everything that is wrong with it.

Repeated ids of families, options and rules are errors. A repeated literal in a rule, or a repeated
id in ``chosen``, says the same thing twice and is accepted. Unknown keys are ignored, so a file may
carry notes of its own.
"""

from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    ValidationError,
    ValidationInfo,
    field_validator,
)

from configurator.json_input import Error, InputErrors, place, sentence, shown

from .model import Family, Kind, Problem, Rule


@dataclass
class _Seen:
    """The ids read so far: later parts may name options, and none may take an id again."""

    families: set[str] = field(default_factory=set)
    options: set[str] = field(default_factory=set)
    rules: set[str] = field(default_factory=set)


def _text(value: str) -> str:
    if any("\ud800" <= char <= "\udfff" for char in value):
        raise ValueError(f"{shown(value)} is not valid text (half of a surrogate pair).")
    return value


def _id(value: str) -> str:
    if not value.strip():
        raise ValueError("An id cannot be empty.")
    if value.startswith("!"):
        raise ValueError(f"The id {shown(value)} cannot begin with '!', which means 'not'.")
    return value


def _new(kind: str) -> AfterValidator:
    """Refuse an id that another one of that kind has already."""

    def check(value: str, info: ValidationInfo) -> str:
        seen: set[str] = getattr(info.context, kind)
        if value in seen:
            raise ValueError(f"{shown(value)} is already used by another of the {kind}.")
        seen.add(value)
        return value

    return AfterValidator(check)


def _known(value: str, info: ValidationInfo) -> str:
    if info.context is not None and value not in info.context.options:
        raise ValueError(f"No family has an option {shown(value)}.")
    return value


def _literal(value: str, info: ValidationInfo) -> str:
    _known(_id(value.removeprefix("!")), info)
    return value


Text = Annotated[str, AfterValidator(_text)]
Id = Annotated[Text, AfterValidator(_id)]
Known = Annotated[Id, AfterValidator(_known)]
Literals = list[Annotated[Text, AfterValidator(_literal)]]


class _Read(BaseModel):
    model_config = ConfigDict(strict=True, extra="ignore")


class _Family(_Read):
    id: Annotated[Id, _new("families")]
    kind: Kind
    limit: Annotated[int | None, Field(validate_default=True, ge=0)] = None
    options: list[Annotated[Id, _new("options")]]
    name: Text = ""

    @field_validator("limit")
    @classmethod
    def _belongs(cls, limit: int | None, info: ValidationInfo) -> int | None:
        kind = info.data.get("kind")
        if kind == "at_most" and limit is None:
            raise ValueError("An 'at_most' family needs a limit.")
        if kind in ("one", "any") and limit is not None:
            raise ValueError(f"Only an 'at_most' family has a limit; this one is {kind!r}.")
        return limit


class _Rule(_Read):
    id: Annotated[Id, _new("rules")]
    if_all: Annotated[Literals, Field(alias="if")]
    then_any: Literals
    reason: Text


class _Input(_Read):
    families: list[_Family]
    rules: list[_Rule]
    chosen: list[Known]
    want: Known | None = None

    def problem(self) -> Problem:
        families = [Family(f.id, f.kind, tuple(f.options), f.limit, f.name) for f in self.families]
        rules = [Rule(r.id, tuple(r.if_all), tuple(r.then_any), r.reason) for r in self.rules]
        return Problem(tuple(families), tuple(rules))


def _read(obj: Any) -> _Input:
    try:
        return _Input.model_validate(obj, context=_Seen())
    except ValidationError as caught:
        found = caught.errors(include_url=False)
        raise InputErrors({"field": place(one["loc"]), "message": sentence(one)} for one in found) from None


def read_problem(obj: Any) -> tuple[Problem, tuple[str, ...], str | None]:
    """Return the problem, the chosen ids and the wanted id (or None) of one `check_rules` input.

    Raises InputErrors with everything that is wrong, each beside the field that caused it.
    """
    read = _read(obj)
    return read.problem(), tuple(read.chosen), read.want


def problem_errors(problem: Problem) -> list[Error]:
    """Return what is wrong with a problem built in code; empty when nothing is."""
    try:
        _read(problem.as_dict() | {"chosen": []})
    except InputErrors as caught:
        return caught.errors
    return []
