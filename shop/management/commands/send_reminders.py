"""``manage.py send_reminders``: what beat does by itself, for a machine without beat."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management import BaseCommand

from configurator.outbox import service as outbox
from shop.messages import reminders
from shop.parts.service import look_at_all


class Command(BaseCommand):
    """Look at late parts, promise the reminders that fell due, and send whatever waits."""

    help = "Do the day's round: late parts, reminders that fell due, and whatever was lost on the way."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whether mails that were given up get another set of tries."""
        parser.add_argument("--retry-failed", action="store_true", help="also what was given up")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it; running it again the same day sends nothing twice."""
        look_at_all()
        made = reminders.remind_all()
        again = outbox.try_again() if options["retry_failed"] else 0
        waiting = outbox.sweep()
        self.stdout.write(f"{made} reminders; {waiting} waiting promises tried, {again} given up before.")
