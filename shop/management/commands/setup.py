"""``manage.py setup``: make a site of one's own ready for its manager, who sets up the rest on its pages."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.management import BaseCommand, CommandError, call_command
from django.core.validators import validate_email
from django.utils.translation import override

from configurator.catalogue import workshop as workshops
from configurator.catalogue.loader import CatalogueError
from shop.accounts.letters import link
from shop.accounts.service import AccountError
from shop.jobs.states import MANAGER
from shop.opening import selectors, service, starting


class Command(BaseCommand):
    """Prepare the database, invite the first manager, and say what is missing; again, it changes nothing."""

    help = "Prepare a site of your own: database, first manager, and a list of what is still missing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take who the first manager is, and whether to start from the demonstration's catalogue."""
        parser.add_argument("--manager", default="manager", help="name to sign in with (default %(default)s)")
        parser.add_argument("--email", default="", help="the first manager's mail address")
        parser.add_argument(
            "--from-demo", action="store_true", help="start from the demo's catalogue without its names"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it all."""
        call_command("migrate", verbosity=0)
        service.begin()
        user = self._manager(options["manager"], options["email"])
        if options["from_demo"]:
            self._from_demo()
        self._tell(user)

    def _manager(self, name: str, email: str) -> User | None:
        if User.objects.filter(is_active=True, groups__name=MANAGER).exists():
            return None
        if not email and sys.stdin.isatty():
            email = input("Mail address of the first manager: ").strip()
        if not email:
            raise CommandError("Say where the first manager gets mail: --email you@your-workshop.example")
        try:
            validate_email(email)
            return starting.first_manager(name, email)
        except (AccountError, ValidationError) as error:
            raise CommandError(" ".join(getattr(error, "messages", [str(error)]))) from error

    def _from_demo(self) -> None:
        try:
            done = starting.from_demonstration()
        except starting.HasCatalogueError:
            raise CommandError("There are goods or vehicles already; nothing was loaded.") from None
        except CatalogueError as error:
            for finding in error.findings:
                self.stderr.write(str(finding))
            raise CommandError("The demo’s catalogue could not be taken; nothing was changed.") from None
        counts = ", ".join(f"{n} {name.replace('_', ' ')}" for name, n in done.counts.items() if n)
        self.stdout.write(f"Taken from the demo, without its names: {counts}.")

    def _tell(self, user: User | None) -> None:
        if user:
            self.stdout.write(
                f"\nThe first manager, {user.username}, sets a password here (works once, for three days):\n"
                f"    {link(user)}\n"
            )
        with override(settings.LANGUAGE_CODE):
            state, workshop = service.state(), workshops.current()
            found = selectors.needs(state, workshop) if state else []
        self.stdout.write("\nStill missing before customers can be let in:")
        missing = selectors.blocking(found)
        self.stdout.write("\n".join(f"    {text}" for text in missing) or "    nothing")
        site = settings.SITE_URL.rstrip("/")
        self.stdout.write(f"\nStart the site (manage.py runserver) and go on at {site}/workshop/settings/")
