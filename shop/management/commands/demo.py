"""``manage.py demo``: set everything up, run the main job once, and serve the site."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command
from django.db import connection
from django.utils import timezone

from configurator.models import Spec
from configurator.outbox.beside import wait_for_all
from shop.demo.clock import at
from shop.demo.deeds import moment
from shop.demo.month import FIRST_SENT, make_month
from shop.jobs.demo import make_demo_staff
from shop.jobs.models import Job
from shop.planning.demo import make_demo_bays, make_demo_people

CATALOGUE = settings.BASE_DIR / "fixtures" / "catalogue"
SPECS = settings.BASE_DIR / "fixtures" / "specs"


class Command(BaseCommand):
    """Migrate, load the demo catalogue, make demo staff, live a month of work, and serve."""

    help = "Set up the demo workshop, run the main job on a demo spec, and serve the site."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the address to serve on, or none."""
        parser.add_argument("--address", default="127.0.0.1:8000", help="host:port (default %(default)s)")
        parser.add_argument("--no-serve", action="store_true", help="set up and stop")
        parser.add_argument("--few", action="store_true", help="the first job alone, without a month of work")
        parser.add_argument(
            "--in-public",
            action="store_true",
            help="also where PostgreSQL, HTTPS or a mail server are set up: the demo's passwords are public",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it all; running it again changes nothing that is there."""
        if not options["in_public"] and (real := what_looks_real()):
            raise CommandError(
                f"This looks like a real site ({', '.join(real)}). The demo makes accounts whose passwords "
                "everybody knows. Say --in-public if that is what you want."
            )
        settings.SECOND_FACTOR_FOR = []
        call_command("migrate", verbosity=0)
        call_command("load_catalogue", str(CATALOGUE), stdout=self.stdout)
        staff = make_demo_staff()
        make_demo_bays()
        make_demo_people()
        if not Spec.objects.exists():
            with at(timezone.now() if options["few"] else moment(FIRST_SENT)):
                call_command("demo_job", str(first_spec()), stdout=self.stdout)
            if not options["few"]:
                wait_for_all()  # the month is one transaction: nobody beside could write before its end
                self.stdout.write("A month of work follows; it takes some seconds …")
                self.stdout.flush()
                make_month(Job.objects.get())
        if options["no_serve"]:
            wait_for_all()
        self._tell(options["address"], staff)
        if not options["no_serve"]:
            call_command("runserver", options["address"], use_reloader=False)

    def _tell(self, address: str, staff: list[tuple[str, str, str]]) -> None:
        rows = "\n".join(f"    {name:<12} {password:<16} {role}" for name, password, role in staff)
        self.stdout.write(
            f"\nThe customer's page:   http://{address}/\n"
            f"The workshop's page:   http://{address}/workshop/\n"
            f"Sign in as demo staff (name, password, role):\n{rows}\n"
            f"Mail is written to     {settings.DATA_DIR / 'mail'}\n"
        )


def what_looks_real() -> list[str]:
    """Return what of the settings belongs to a site that people use."""
    found = {
        "PostgreSQL": connection.vendor != "sqlite",
        "HTTPS": settings.SESSION_COOKIE_SECURE,
        "a mail server": "smtp" in settings.EMAIL_BACKEND,
    }
    return [name for name, is_so in found.items() if is_so]


def first_spec() -> Path:
    """Return the demo spec that the demo sends."""
    return sorted(SPECS.glob("*.json"))[0]
