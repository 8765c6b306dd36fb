"""Say what is wrong with the catalogue's rules."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from configurator.builds import ready_looks
from configurator.catalogue import lint, snapshot


class Command(BaseCommand):
    """Print every finding; exit 1 when one of them is a contradiction."""

    help = (
        "Check the live catalogue's rules: contradictions, options never possible, rules that never matter."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        """Print findings, blocking ones first."""
        catalogue = snapshot.current()
        found = lint.lint(catalogue)
        for row in found:
            mark = "CONTRADICTION" if row.blocking else "note"
            self.stdout.write(f"{mark:<13} {row.kind.replace('_', ' '):<20} {row.subject}: {row.message}")
        for look in ready_looks.fallen(catalogue):
            said = " ".join(look.reasons)
            self.stdout.write(f"{'note':<13} {'look not offered':<20} {look.look.code}: {said}")
        blocking = sum(row.blocking for row in found)
        if blocking:
            raise CommandError(f"{blocking} contradictions: this catalogue must not go live.")
        count = len(catalogue.rules)
        self.stdout.write(
            f"Catalogue version {catalogue.version}: {count} rules, no contradiction, {len(found)} notes."
        )
