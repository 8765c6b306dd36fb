"""`python manage.py check_rules FILE.json|-`: answers rule questions for scripts and outside cases."""

import json
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from configurator.json_input import respond
from configurator.rules import Engine, read_problem


def answer(obj: Any) -> dict[str, Any]:
    """Return the answer to one input; InputErrors when it is not understood."""
    problem, chosen, want = read_problem(obj)
    return Engine(problem).answer(chosen, want).as_dict()


class Command(BaseCommand):
    """Print what the rules say of the inputs in a file."""

    help = "Answers JSON cases of families, rules and a selection: what is open, forced, closed and why."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file's name."""
        parser.add_argument("file", nargs="?", default="", help="a JSON file, or - for standard input")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the answer; exit with 2 when an input was not understood."""
        given, understood = respond(options["file"], answer)
        # ASCII only, so that no terminal's encoding can fail on an option's name.
        self.stdout.write(json.dumps(given, indent=2, ensure_ascii=True))
        if not understood:
            sys.exit(2)
