"""``manage.py restore FILE``: put a backup in place."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError

from shop.site.backup import BackupError
from shop.site.restore import read_manifest, restore


class Command(BaseCommand):
    """Check a backup and put its rows and files in place of what is here."""

    help = "Check a backup and put its rows and files in place."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file, and whether it may replace what is here."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--replace", action="store_true", help="in place of what is here already")
        parser.add_argument("--check", action="store_true", help="only check that the backup is whole")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it, all or nothing, and say from when it was."""
        try:
            if options["check"]:
                manifest = read_manifest(options["file"])
            else:
                manifest = restore(options["file"], replace=options["replace"])
        except BackupError as error:
            raise CommandError(str(error)) from error
        done = "whole" if options["check"] else "restored"
        self.stdout.write(f"{done}: {sum(manifest['rows'].values())} rows as of {manifest['made_at']}")
