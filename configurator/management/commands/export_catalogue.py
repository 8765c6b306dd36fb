"""``manage.py export_catalogue FOLDER``: write the live catalogue as the files it can be loaded from."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from configurator.catalogue.exporting import FolderInUseError, write_folder


class Command(BaseCommand):
    """Write every file of the catalogue into a new folder."""

    help = "Write the live catalogue into a new folder as readable files, which load_catalogue takes back."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the folder."""
        parser.add_argument("folder", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        """Write; a folder that holds something is left alone."""
        try:
            names = write_folder(options["folder"])
        except FolderInUseError as error:
            raise CommandError(f"There is something in {error} already; name a new folder.") from None
        self.stdout.write(f"Wrote {len(names)} files to {options['folder']}.")
