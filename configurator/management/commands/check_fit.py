"""`python manage.py check_fit FILE.json` (or `-`): does it fit, answered as one JSON object."""

import json
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from configurator.fitment import answer_input
from configurator.json_input import respond


class Command(BaseCommand):
    """Print the fit verdict for the inputs in a file."""

    help = (
        "Judge whether wheel, tyre, spacer and fastener fit an axle, and whether a vehicle's axles go"
        " together. Reads JSON, prints JSON."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file's name."""
        parser.add_argument("file", help="JSON file with one input or an array of them, - for standard input")

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        """Print the answer; exit with 2 when an input was not understood."""
        found, understood = respond(file, answer_input, "file")
        self.stdout.write(json.dumps(found, allow_nan=False))
        if not understood:
            sys.exit(2)
