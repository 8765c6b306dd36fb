"""``manage.py forget_customer MAIL --why TEXT``: take out who it was from everything that is over."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management import BaseCommand, CommandError

from shop.privacy.forgetting import StillOpenError, forget


class Command(BaseCommand):
    """Forget a customer for good; the books stay as law asks."""

    help = "Forget the customer of a mail address for good; ledgers and invoices stay."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whom, and why."""
        parser.add_argument("email")
        parser.add_argument("--why", required=True)

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it, all or nothing."""
        try:
            kept = forget(email=options["email"], by="system", why=options["why"])
        except StillOpenError as error:
            raise CommandError(f"These jobs are still open: {error}.") from error
        if not kept.specs:
            raise CommandError("Nothing is kept under this address.")
        self.stdout.write(f"forgotten: {len(kept.specs)} builds and {len(kept.jobs)} jobs")
