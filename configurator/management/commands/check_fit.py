"""`python manage.py check_fit FILE.json` (or `-`): does it fit, answered as one JSON object."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from configurator.fitment import InputErrors, check_fit, read_input


def answer(obj: object) -> tuple[Any, bool]:
    """Return the answer to one input, or to each of a list of them, and whether all were understood."""
    if isinstance(obj, list):
        answers = [_answer_one(one) for one in obj]
        return [found for found, _ in answers], all(understood for _, understood in answers)
    return _answer_one(obj)


def _answer_one(obj: object) -> tuple[dict[str, Any], bool]:
    try:
        given = read_input(obj)
    except InputErrors as caught:
        return {"errors": caught.errors}, False
    report = check_fit(given.axle, given.wheel, given.tyre, given.spacer, given.fastener).as_dict()
    if given.ignored:
        report["ignored"] = list(given.ignored)
    return report, True


def answer_bytes(content: bytes) -> tuple[Any, bool]:
    """Return the answer to a JSON document, whatever its bytes are."""
    try:
        obj = json.loads(content.decode("utf-8-sig"), parse_constant=_refuse_constant)
    except UnicodeDecodeError:
        return _file_error("is not UTF-8 text"), False
    except RecursionError:
        return _file_error("is nested too deeply"), False
    except ValueError as caught:
        return _file_error(f"is not valid JSON: {caught}" if content.strip() else "is empty"), False
    return answer(obj)


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not a JSON number")


def _file_error(message: str) -> dict[str, Any]:
    return {"errors": [{"field": "file", "message": message}]}


class Command(BaseCommand):
    """Print the fit verdict for the inputs in a file."""

    help = "Judge whether wheel, tyre, spacer and fastener fit an axle. Reads JSON, prints JSON."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file's name."""
        parser.add_argument("file", help="JSON file with one input or an array of them, - for standard input")

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        """Print the answer; exit with 2 when an input was not understood."""
        try:
            content = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
        except (OSError, ValueError) as caught:
            found, understood = (
                _file_error(f"cannot be read: {getattr(caught, 'strerror', None) or caught}"),
                False,
            )
        else:
            found, understood = answer_bytes(content)
        self.stdout.write(json.dumps(found, allow_nan=False))
        if not understood:
            sys.exit(2)
