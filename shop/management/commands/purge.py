"""``manage.py purge``: what beat does every night, for a machine without beat."""

from __future__ import annotations

from typing import Any

from django.core.management import BaseCommand

from shop.privacy.forgetting import note_purge, purge


class Command(BaseCommand):
    """Let go of what has been kept long enough."""

    help = "Let go of builds never sent, old sessions, mail texts and records, by RETENTION_DAYS."

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it and say how much it was."""
        self.stdout.write(note_purge(purge()))
