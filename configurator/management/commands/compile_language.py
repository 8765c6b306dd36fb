"""Compile the .po files of every language: ``manage.py compile_language`` (needs the test extra).

The data folder's own messages are among them: a language put there is spoken after a restart.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    """Write each .mo beside its .po, without GNU gettext; the .mo files are kept in the repository."""

    help = __doc__ or ""

    def handle(self, *args: Any, **options: Any) -> None:
        """Compile every language found."""
        try:
            import polib  # type: ignore[import-untyped]
        except ImportError as error:
            raise CommandError("Install the test extra first: it holds polib.") from error
        for folder in settings.LOCALE_PATHS:
            for path in sorted(folder.glob("*/LC_MESSAGES/*.po")):
                polib.pofile(str(path)).save_as_mofile(str(path.with_suffix(".mo")))
                self.stdout.write(f"{path}: compiled")
