"""Taking a statement in: once per file, once per movement, each matched in a transaction of its own."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from configurator.catalogue import workshop as workshops
from configurator.catalogue.models import Workshop
from shop.money.models import StatementEntry, StatementFile

from .camt import looks_like_xml, read_camt
from .csv_file import read_csv
from .entries import Statement, keyed, refuse
from .matching import match_entry


@dataclass(frozen=True)
class Imported:
    """What an import did; ``made`` is False when the very file had been read before."""

    file: StatementFile
    made: bool
    pending: int = 0


def import_statement(*, name: str, data: bytes, by: Any = None) -> Imported:
    """Read a camt.053 or CSV statement, keep its movements and match what names a job.

    The same file again changes nothing, the same movement in another file is counted and passed over.
    Raises ``StatementError`` with every fault; nothing is changed then.
    """
    digest = hashlib.sha256(data).hexdigest()
    known = StatementFile.objects.filter(digest=digest).first()
    if known:
        _match(known)
        return Imported(known, made=False)
    statement = _read(data)
    file, made = _keep(statement, name=name, digest=digest, by=by)
    _match(file)
    return Imported(file, made, statement.pending)


def _read(data: bytes) -> Statement:
    workshop = workshops.current()
    statement = (
        read_camt(data) if looks_like_xml(data) else read_csv(data, currency=workshops.currency_of(workshop))
    )
    own = workshop.iban.replace(" ", "").upper() if workshop else ""
    if statement.account and own and statement.account.replace(" ", "").upper() != own:
        raise refuse(f"The statement is of account {statement.account}; the workshop's is {own}.", "account")
    return statement


@transaction.atomic
def _keep(statement: Statement, *, name: str, digest: str, by: Any) -> tuple[StatementFile, bool]:
    """Write file and new movements; imports queue for the workshop's row, so overlap is seen."""
    workshop = Workshop.objects.select_for_update().first()
    own = workshop.iban.replace(" ", "").upper() if workshop else ""
    file, made = StatementFile.objects.get_or_create(
        digest=digest,
        defaults={
            "name": name[:200] or "statement",
            "format": statement.format,
            "account": statement.account[:34],
            "by": by,
        },
    )
    if not made:
        return file, False
    rows = keyed(statement, own)
    keys = [key for key, _ in rows]
    had = set(StatementEntry.objects.filter(key__in=keys).values_list("key", flat=True))
    StatementEntry.objects.bulk_create(
        StatementEntry(file=file, key=key, **vars(entry)) for key, entry in rows if key not in had
    )
    file.seen_before = len(had)
    file.save(update_fields=["seen_before"])
    return file, True


def _match(file: StatementFile) -> None:
    waiting = file.entries.filter(state=StatementEntry.State.OPEN, note="")
    for pk in waiting.order_by("pk").values_list("pk", flat=True):
        match_entry(entry_id=pk)
