"""Load the catalogue from a folder of files, all or nothing."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from configurator.catalogue.loader import CatalogueError, Loaded, NewerEditsError, load

SHOWN = 20
DEMO = settings.BASE_DIR / "fixtures" / "catalogue"


class Command(BaseCommand):
    """Read every file, say everything that is wrong, and change nothing unless all is well."""

    help = "Load the catalogue from a folder of files; reports every bad row and then changes nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the folder and whether to remove what the files no longer hold."""
        parser.add_argument("folder", nargs="?", type=Path, default=DEMO)
        parser.add_argument(
            "--over-newer-edits",
            action="store_true",
            help="load although people have edited since what the files say otherwise",
        )
        parser.add_argument(
            "--prune", action="store_true", help="remove rows gone from the files that nothing uses"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Load and report; exit 1 with all findings when something is wrong."""
        try:
            over = options["over_newer_edits"]
            done = load(options["folder"], prune=options["prune"], over_newer=over)
        except NewerEditsError as error:
            for edit in error.edits:
                self.stderr.write(str(edit))
            raise CommandError(
                f"The files would put back {len(error.edits)} rows that were edited since; nothing was "
                "changed. Export the catalogue and edit those files, or say --over-newer-edits."
            ) from None
        except CatalogueError as error:
            for finding in error.findings:
                self.stderr.write(str(finding))
            raise CommandError(f"{len(error.findings)} mistakes; nothing was changed.") from None
        self._report(done)

    def _report(self, done: Loaded) -> None:
        """Print what was loaded."""
        counts = ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in done.counts.items())
        self.stdout.write(f"Loaded {counts}.")
        for line in done.gone[:SHOWN]:
            self.stdout.write(line)
        if len(done.gone) > SHOWN:
            self.stdout.write(f"and {len(done.gone) - SHOWN} more rows that are no longer in the files.")
        for note in done.notes:
            self.stderr.write(str(note))
        state = "new" if done.changed else "unchanged"
        self.stdout.write(f"Catalogue version {done.version.number} ({state}).")
