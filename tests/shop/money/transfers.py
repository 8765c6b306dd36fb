"""Jobs that wait for a deposit, statements read for them, and what became of both."""

from __future__ import annotations

from configurator.models import Workshop
from shop.models import Job, StatementEntry
from shop.money.statements.importing import import_statement
from tests.shop import factories

from .camt_samples import IBAN, statement


def make_workshop() -> Workshop:
    return factories.make_workshop(iban=f"{IBAN[:4]} {IBAN[4:]}")


def due(deposit: str = "300.00", **changes: object) -> Job:
    return factories.job(
        factories.evaluation(price=factories.price(deposit=deposit)), **({"state": "deposit_due"} | changes)
    )


def reference(job: Job) -> str:
    return job.deposit_requests.get(superseded_at=None).reference


def state(job: Job) -> str:
    job.refresh_from_db()
    return job.state


def read(*entries: str, number: str = "1", **options: object) -> list[StatementEntry]:
    """Import a camt.053 of these entries and return what it brought, in order."""
    file = import_statement(name=f"{number}.xml", data=statement(*entries, number=number, **options)).file
    return list(file.entries.order_by("pk"))


def again(entry: StatementEntry) -> StatementEntry:
    entry.refresh_from_db()
    return entry
