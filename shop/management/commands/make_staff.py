"""``manage.py make_staff NAME ROLE``: invite the first of the staff, or any other, by mail."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management import BaseCommand, CommandError
from django.core.validators import validate_email

from shop.accounts.letters import link
from shop.accounts.service import AccountError, invite
from shop.jobs.states import STAFF_ROLES


class Command(BaseCommand):
    """Make an account without a password and mail a link that sets one."""

    help = "Make a staff account and mail the person a link to set a password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take who, in which roles, and where the mail goes."""
        parser.add_argument("name", help="to sign in with")
        parser.add_argument(
            "roles", nargs="+", choices=STAFF_ROLES, metavar="ROLE", help=", ".join(STAFF_ROLES)
        )
        parser.add_argument("--email", required=True)
        parser.add_argument("--show-link", action="store_true", help="print the link too")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it."""
        try:
            validate_email(options["email"])
            user = invite(name=options["name"], email=options["email"], roles=options["roles"])
        except (AccountError, ValidationError) as error:
            raise CommandError(" ".join(getattr(error, "messages", [str(error)]))) from error
        self.stdout.write(f"{user.username}: a mail with a link goes to {user.email}")
        if options["show_link"]:
            self.stdout.write(link(user))
