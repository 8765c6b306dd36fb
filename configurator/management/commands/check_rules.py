"""`python manage.py check_rules FILE.json|-`: answers rule questions for scripts and outside cases."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand

from configurator.rules import Engine, InputErrors, read_problem

MAX_BYTES = 50_000_000


def _not_a_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is not JSON.")


def _no_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Refuse an object with a key twice: one of the two values would be lost unseen."""
    obj = dict(pairs)
    if len(obj) < len(pairs):
        raise ValueError("An object has the same key twice.")
    return obj


def _wrong(field: str, message: str) -> InputErrors:
    return InputErrors([{"field": field, "message": message}])


def read_bytes(name: str) -> bytes:
    """Return the content of a file, or of standard input for ``-``; InputErrors when there is none."""
    try:
        if name == "-":
            data = sys.stdin.buffer.read(MAX_BYTES + 1)
        else:
            with Path(name).open("rb") as file:
                data = file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a file name"
        raise _wrong("file", f"Cannot be read: {reason}.") from error
    if len(data) > MAX_BYTES:
        raise _wrong("file", f"Is larger than {MAX_BYTES // 1_000_000} MB.")
    return data


def parse(data: bytes) -> Any:
    """Return the JSON value in `data`; InputErrors when it is none."""
    if not data.strip():
        raise _wrong("", "Is empty.")
    try:
        return json.loads(
            data.decode("utf-8-sig"), parse_constant=_not_a_number, object_pairs_hook=_no_repeats
        )
    except UnicodeDecodeError as error:
        raise _wrong("", f"Is not UTF-8 text (byte {error.start}).") from error
    except RecursionError as error:
        raise _wrong("", "Is nested too deeply.") from error
    except json.JSONDecodeError as error:
        raise _wrong("", f"Is not JSON: {error.msg} (line {error.lineno}, column {error.colno}).") from error
    except ValueError as error:
        message = "A number has too many digits." if "digits" in str(error) else str(error)
        raise _wrong("", message) from error


def answer(obj: Any) -> dict[str, Any]:
    """Return the answer to one input, or its {"errors": [...]}."""
    try:
        problem, chosen, want = read_problem(obj)
    except InputErrors as error:
        return {"errors": error.errors}
    return Engine(problem).answer(chosen, want).as_dict()


def respond_to(data: bytes) -> tuple[Any, bool]:
    """Return the answer, or the answers to an array, and whether all input was understood."""
    obj = parse(data)
    if isinstance(obj, list):
        answers = [answer(item) for item in obj]
        return answers, not any("errors" in given for given in answers)
    given = answer(obj)
    return given, "errors" not in given


def respond(name: str) -> tuple[Any, bool]:
    """Return the same for the content of a file."""
    try:
        return respond_to(read_bytes(name))
    except InputErrors as error:
        return {"errors": error.errors}, False


class Command(BaseCommand):
    help = "Answers JSON cases of families, rules and a selection: what is open, forced, closed and why."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", default="", help="a JSON file, or - for standard input")

    def handle(self, *args: Any, **options: Any) -> None:
        name = options["file"]
        given, understood = (
            respond(name)
            if name
            else (
                {"errors": [{"field": "file", "message": "Name a JSON file, or - for standard input."}]},
                False,
            )
        )
        # ASCII only, so that no terminal's encoding can fail on an option's name.
        self.stdout.write(json.dumps(given, indent=2, ensure_ascii=True))
        if not understood:
            sys.exit(2)
