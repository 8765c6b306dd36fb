"""The demonstration's bank statement of the week: one match, and puzzles for who looks after the money."""

from __future__ import annotations

import csv
from datetime import timedelta
from decimal import Decimal
from io import StringIO

from django.utils import timezone

from configurator.catalogue import workshop as workshops
from shop.jobs.models import Job
from shop.jobs.revising import contact_of
from shop.jobs.states import State
from shop.money.account import account
from shop.money.statements.importing import import_statement

from .deeds import Staff

Row = tuple[int, Decimal, str, str, str]
"""How many days ago, amount, name of the other side, structured reference, text."""


def import_statement_of(staff: Staff) -> None:
    """Write the statement from what the jobs ask for, as the bank would, and take it in."""
    data = _written(_rows())
    day = timezone.localdate()
    import_statement(name=f"umsaetze-{day:%Y-%m-%d}.csv", data=data.encode(), by=staff.manager)


def _rows() -> list[Row]:
    due = Job.objects.filter(state=State.DEPOSIT_DUE).order_by("-pk").first()
    ready = Job.objects.filter(state=State.READY).first()
    rows: list[Row] = [
        (3, Decimal("-412.60"), "Farbkontor Querum eG", "", "Rechnung 20418"),
        (2, Decimal("75.00"), "Otto Marten", "", "Aufkleber, danke"),
        (1, Decimal("-1180.00"), "Vermietung Kupferamselweg", "", "Miete Halle"),
    ]
    if due is not None:
        now = account(due)
        reference = now.request.reference if now.request else ""
        rows.append((1, now.outstanding, _payer(due), reference, ""))
    if ready is not None:
        rest = account(ready).outstanding
        # Named by nothing but the payer and a number with a figure transposed: a person has to look.
        rows.append((1, rest, _payer(ready), "", f"Rest Auftrag {ready.number[:-2]}{ready.number[:-3:-1]}"))
        rows.append((0, Decimal("40.00"), _payer(ready), "", "Trinkgeld fürs Team"))
    return rows


def _payer(job: Job) -> str:
    return contact_of(job.revision).name


def _written(rows: list[Row]) -> str:
    workshop = workshops.current()
    own = workshop.iban if workshop else ""
    out = StringIO()
    writer = csv.writer(out, delimiter=";")
    writer.writerow(["date", "amount", "currency", "name", "reference", "text", "bank_reference", "account"])
    for number, (days_ago, amount, name, reference, text) in enumerate(rows, 1):
        day = timezone.localdate() - timedelta(days=days_ago)
        told = f"{amount:.2f}".replace(".", ",")
        writer.writerow(
            [f"{day:%d.%m.%Y}", told, "EUR", name, reference, text, f"{day:%Y%m%d}9{number:04d}", own]
        )
    return out.getvalue()
