"""JSON from outside, read with one strictness by every command that takes it.

A document is UTF-8 (a byte order mark is let pass), at most MAX_BYTES long, without NaN or Infinity,
without the same key twice in an object, and not nested so deeply that reading it fails. Whatever is wrong is
said beside its field: ``families[0].options[1]``.
"""

import json
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, NoReturn

MAX_BYTES = 50_000_000
MOST_ERRORS = 100
Error = dict[str, str]

WORDS = {
    "missing": "Is missing.",
    "string_type": "Must be a text, not {given}.",
    "list_type": "Must be a list, not {given}.",
    "model_type": "Must be an object, not {given}.",
    "model_attributes_type": "Must be an object, not {given}.",
    "int_type": "Must be a whole number, not {given}.",
    "int_from_float": "Must be a whole number.",
    "greater_than_equal": "Must be at least {ge}.",
    "literal_error": "Must be {expected}.",
    "value_error": "{error}",
}
GIVEN = {
    dict: "an object", list: "a list", str: "a text", bool: "true or false", int: "a number",
    float: "a number", type(None): "null",
}  # fmt: skip


class InputErrors(ValueError):  # noqa: N818 - it carries several errors
    """Input that was not understood; `errors` holds {"field", "message"} for what was found, 100 at most."""

    def __init__(self, errors: Iterable[Error]) -> None:
        self.errors = list(errors)[:MOST_ERRORS]
        super().__init__(self.errors)

    def __str__(self) -> str:
        return "; ".join(f"{error['field']}: {error['message']}" for error in self.errors)


def error(field: str, message: str) -> Error:
    """Return one error as the commands print it."""
    return {"field": field, "message": message}


def shown(text: str) -> str:
    """Return a text safe to print in a message: ASCII, quoted, not long."""
    return ascii(text if len(text) <= 60 else text[:57] + "...")


def place(location: Iterable[int | str]) -> str:
    """Return ``families[0].id`` for a schema error's location."""
    path = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in location)
    return path.removeprefix(".")


def sentence(problem: Any) -> str:
    """Return a schema error of pydantic as a sentence; its own words where there are none here."""
    given = GIVEN.get(type(problem.get("input")), "this")
    words = WORDS.get(problem["type"])
    return words.format(given=given, **problem.get("ctx", {})) if words else f"{problem['msg']}."


def read_bytes(name: str) -> bytes:
    """Return the content of a file, or of standard input for ``-``; InputErrors when there is none."""
    try:
        if name == "-":
            data = sys.stdin.buffer.read(MAX_BYTES + 1)
        else:
            with Path(name).open("rb") as file:
                data = file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "not a file name"
        raise InputErrors([error("file", f"Cannot be read: {reason}.")]) from problem
    if len(data) > MAX_BYTES:
        raise InputErrors([error("file", f"Is larger than {MAX_BYTES // 1_000_000} MB.")])
    return data


def parse(data: bytes, whole: str = "") -> Any:
    """Return the JSON value in `data`; InputErrors at the field `whole` when it is none."""

    def wrong(message: str) -> InputErrors:
        return InputErrors([error(whole, message)])

    if not data.strip():
        raise wrong("Is empty.")
    try:
        text = data.decode("utf-8-sig")
        return json.loads(text, parse_constant=_not_a_number, object_pairs_hook=_no_repeats)
    except UnicodeDecodeError as problem:
        raise wrong(f"Is not UTF-8 text (byte {problem.start}).") from problem
    except RecursionError as problem:
        raise wrong("Is nested too deeply.") from problem
    except json.JSONDecodeError as problem:
        where = f"line {problem.lineno}, column {problem.colno}"
        raise wrong(f"Is not JSON: {problem.msg} ({where}).") from problem
    except ValueError as problem:
        digits = "digits" in str(problem)
        raise wrong("A number has too many digits." if digits else str(problem)) from problem


def _not_a_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is not JSON.")


def _no_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Refuse an object with a key twice: one of the two values would be lost unseen."""
    obj = dict(pairs)
    if len(obj) < len(pairs):
        raise ValueError("An object has the same key twice.")
    return obj


Answer = dict[str, Any]


def respond_to(data: bytes, answer: Callable[[Any], Answer], whole: str = "") -> tuple[Any, bool]:
    """Return the answer to a document, or to each member of an array, and whether all was understood.

    What was not understood has its ``{"errors": [...]}`` in its place.
    """
    try:
        obj = parse(data, whole)
    except InputErrors as problem:
        return {"errors": problem.errors}, False
    return answered(obj, answer)


def answered(obj: Any, answer: Callable[[Any], Answer]) -> tuple[Any, bool]:
    """Return the answer to one input or to each of an array, and whether all was understood."""
    if isinstance(obj, list):
        answers = [_one(item, answer) for item in obj]
        return answers, not any("errors" in given for given in answers)
    given = _one(obj, answer)
    return given, "errors" not in given


def _one(obj: Any, answer: Callable[[Any], Answer]) -> Answer:
    try:
        return answer(obj)
    except InputErrors as problem:
        return {"errors": problem.errors}


def respond(name: str, answer: Callable[[Any], Answer], whole: str = "") -> tuple[Any, bool]:
    """Return the same for the content of a file, or of standard input for ``-``."""
    if not name:
        return {"errors": [error("file", "Name a JSON file, or - for standard input.")]}, False
    try:
        data = read_bytes(name)
    except InputErrors as problem:
        return {"errors": problem.errors}, False
    return respond_to(data, answer, whole)
