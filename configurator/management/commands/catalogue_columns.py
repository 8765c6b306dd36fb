"""``manage.py catalogue_columns``: print every file's columns as they are declared, for COLUMNS.md."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from configurator.catalogue.columns_table import table


class Command(BaseCommand):
    """Print the table."""

    help = "Print what every column of the catalogue's files may hold, as fixtures/catalogue/COLUMNS.md does."

    def handle(self, *args: Any, **options: Any) -> None:
        """Print it."""
        self.stdout.write(table(), ending="")
