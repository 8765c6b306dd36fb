"""``manage.py export_customer MAIL FILE``: everything kept about a customer, as a ZIP."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError

from shop.privacy.exporting import export
from shop.privacy.finding import kept_about


class Command(BaseCommand):
    """Write everything kept about a customer into one file."""

    help = "Write everything kept about the customer of a mail address into one ZIP file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whose, and where to."""
        parser.add_argument("email")
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it; nothing is written when nothing is kept."""
        kept = kept_about(options["email"])
        if not kept.specs:
            raise CommandError("Nothing is kept under this address.")
        options["file"].write_bytes(export(kept))
        self.stdout.write(f"{len(kept.specs)} builds and {len(kept.jobs)} jobs in {options['file']}")
