"""``manage.py backup FILE``: everything the site keeps, in one file."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand

from shop.site.backup import back_up


class Command(BaseCommand):
    """Write rows and files of one moment, with checksums, while the site goes on working."""

    help = "Write everything the site keeps into one file, while it goes on working."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take where to write."""
        parser.add_argument("file", type=Path, help="for example kerbline-2026-03-31.tar.gz")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it and say what it holds."""
        done = back_up(options["file"])
        for name in done.missing:
            self.stderr.write(f"named by a row and not there: {name}")
        self.stdout.write(f"{sum(done.rows.values())} rows and {done.files} files in {options['file']}")
