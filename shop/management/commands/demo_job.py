"""``manage.py demo_job FILE``: the main job without a browser, on one screen."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand
from django.db import transaction
from pydantic import BaseModel, ConfigDict, ValidationError

from configurator.builds import sending, service
from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation, FitRow
from configurator.builds.models import Spec
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot
from shop.jobs.models import Job


class ContactFile(BaseModel):
    """Who sends the spec, in a spec file."""

    model_config = ConfigDict(extra="forbid")

    name: str = "Demo customer"
    email: str = "customer@kerbline.example"
    phone: str = ""
    registration: str = ""
    vin: str = ""
    notes: str = ""


class SpecFile(BaseModel):
    """A spec file: a selection and who sends it."""

    model_config = ConfigDict(extra="forbid")

    selection: Selection
    contact: ContactFile = ContactFile()


class Command(BaseCommand):
    """Evaluate a spec file, send it, and print verdicts, parts list, time, price and deposit."""

    help = "Run the main job on a spec file: verdicts, parts list, draft job and deposit request."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file and whether to stop before sending."""
        parser.add_argument("file", help="spec file (JSON), or - for standard input")
        parser.add_argument("--dry-run", action="store_true", help="evaluate only; make no job")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the result; exit 2 when the file was not understood or cannot be sent."""
        file = self._read(options["file"])
        catalogue = snapshot.current()
        if not catalogue.generations:
            self._refuse([("catalogue", "is empty: run `manage.py load_catalogue fixtures/catalogue` first")])
        evaluation = evaluate(file.selection, catalogue)
        self.stdout.write("\n".join(report(evaluation)))
        if evaluation.problems or evaluation.conflicts:
            found = [(problem.field, problem.message) for problem in evaluation.problems]
            found += [("options", " ".join(conflict.reasons)) for conflict in evaluation.conflicts]
            self._refuse(found)
        if not evaluation.sendable:
            self._refuse([("selection", "cannot be sent: see the fit verdicts above")])
        if not options["dry_run"]:
            self._send(file)

    def _read(self, name: str) -> SpecFile:
        try:
            text = sys.stdin.read() if name == "-" else Path(name).read_text(encoding="utf-8")
            return SpecFile.model_validate(json.loads(text))
        except OSError as error:
            self._refuse([("file", error.strerror or str(error))])
        except ValidationError as error:
            self._refuse([(".".join(map(str, row["loc"])) or "file", row["msg"]) for row in error.errors()])
        except (ValueError, RecursionError) as error:
            self._refuse([("file", f"is not a JSON spec file: {error}")])
        raise AssertionError  # _refuse never returns

    def _refuse(self, errors: list[tuple[str, str]]) -> None:
        for field, message in errors:
            self.stderr.write(f"{field}: {message}")
        sys.exit(2)

    def _send(self, file: SpecFile) -> None:
        with transaction.atomic():
            spec = service.start_build(generation=file.selection.generation)
            service.save_build(spec_id=spec.pk, selection=file.selection)
            workshop = snapshot.current().workshop
            sent = sending.send_build(
                spec_id=spec.pk,
                contact=sending.Contact(**file.contact.model_dump()),
                terms_version=workshop.terms_version if workshop else "",
                terms_text=workshop.terms if workshop else "",
            )
        job = Job.objects.get(spec=Spec.objects.get(pk=spec.pk))
        self.stdout.write(f"\nDraft job {job.number}: {job.get_state_display()}")
        self.stdout.write(f"The customer follows it at {settings.SITE_URL}{sent.next_url}\n")


def report(evaluation: Evaluation) -> list[str]:
    """Return the evaluation as lines for a terminal."""
    lines = ["", *evaluation.summary]
    for fit in evaluation.fits.values():
        lines += ["", f"FIT {fit.position}: {fit.verdict}", f"  {fit.headline}"]
        lines += [_fit_row(row) for row in fit.checks]
    lines += ["", "PARTS"]
    lines += [
        f"  {line.quantity.normalize():>8f} {line.unit:<5} {line.name:<52.52} {line.amount:>9} "
        f" {line.where}: for {', '.join(line.for_names)}"
        for line in evaluation.parts
    ]
    return lines + _work_and_price(evaluation)


def _fit_row(row: FitRow) -> str:
    margin = "" if row.margin is None else f"{row.margin:+.1f} {row.unit}"
    return f"  {row.verdict:<8} {row.id:<19} {margin:>12}  {row.message}"


def _work_and_price(evaluation: Evaluation) -> list[str]:
    lines = []
    if evaluation.work:
        work = evaluation.work
        steps = {step.key: step for step in work.steps}
        path = " > ".join(steps[key].name for key in work.critical_path)
        lines += ["", f"WORK {work.hands_on_h:g} h hands-on, {work.bay_days} working days in the workshop"]
        lines += [f"  decided by: {path}"]
    if evaluation.price:
        price = evaluation.price
        lines += ["", "PRICE (tax included)"]
        lines += [f"  {row.amount:>9} {price.currency}  {row.label}" for row in price.lines]
        lines += [
            f"  {price.total:>9} {price.currency}  total",
            f"  {price.tax:>9} {price.currency}  tax in it, at {price.tax_rate_pct:f} %",
            f"  {price.deposit:>9} {price.currency}  deposit: {price.deposit_why}",
        ]
    lines += ["", "CAUTIONS", *(f"  {caution}" for caution in evaluation.cautions)]
    return lines
