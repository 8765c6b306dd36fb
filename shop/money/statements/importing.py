"""Taking a statement in: looked at first, then kept once per file and once per movement, then matched."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from configurator.catalogue.models import Workshop
from shop.money.models import StatementEntry, StatementFile
from shop.money.reasons import in_words

from .accounts import plain
from .csv_layout import Layout
from .deciding import Decision, decide, names_nothing, of_file
from .entries import BankEntry
from .identity import Kept, Recognised, Verdict, recognise
from .judging import judge_together
from .matching import match_entry, match_waiting
from .reading import OwnStatement, read_statement

_TOLD = (
    "booked_on",
    "amount",
    "currency",
    "other_name",
    "other_iban",
    "reference",
    "text",
    "bank_reference",
    "documents",
    "is_reversal",
)


@dataclass(frozen=True)
class Imported:
    """What an import did; ``made`` is False when the very file had been read before."""

    file: StatementFile
    made: bool
    pending: int = 0


@dataclass(frozen=True)
class PreviewRow:
    """A movement and what would become of it; ``like`` is the earlier movement it is or may be."""

    entry: BankEntry
    verdict: Verdict
    decision: Decision | None
    like: StatementEntry | None

    @property
    def said(self) -> str:
        """Why a person would have to look, in words."""
        return in_words(self.decision.reason, self.decision.values) if self.decision else ""


@dataclass(frozen=True)
class Preview:
    """What a file holds and would do; nothing is changed by looking.

    ``before`` is set for a file that was read already.
    """

    own: OwnStatement
    rows: tuple[PreviewRow, ...]
    before: StatementFile | None

    @property
    def new(self) -> int:
        """How many movements would be taken in."""
        return sum(row.verdict != Verdict.KNOWN for row in self.rows)


def preview(data: bytes, layout: Layout | None = None) -> Preview:
    """Return what importing the file would do; raise ``StatementError`` where it cannot be read."""
    own = read_statement(data, layout)
    found = recognise(own.statement.entries, own.statement.format, _earlier(own.statement.entries))
    earlier = StatementEntry.objects.select_related("file").in_bulk([one.like for one in found if one.like])
    once = of_file(one.entry for one in found)
    rows = tuple(
        PreviewRow(
            one.entry,
            one.verdict,
            decide(one.entry, once) if one.verdict == Verdict.NEW else None,
            earlier.get(one.like) if one.like else None,
        )
        for one in found
    )
    return Preview(own, rows, StatementFile.objects.filter(digest=digest_of(data)).first())


def digest_of(data: bytes) -> str:
    """Return the digest by which the very same file is known."""
    return hashlib.sha256(data).hexdigest()


def import_statement(*, name: str, data: bytes, by: Any = None, layout: Layout | None = None) -> Imported:
    """Read a camt.053, MT940 or CSV statement, keep its movements and match what names a job.

    The same file again changes nothing, the same movement in another file is counted and passed over,
    one that may be the same waits for a person. Raises ``StatementError`` with every fault; nothing is
    changed then.
    """
    digest = digest_of(data)
    file = StatementFile.objects.filter(digest=digest).first()
    made = False
    if file is None:
        file, made = _keep(read_statement(data, layout), name=name, digest=digest, by=by)
    _match(file)
    match_waiting()
    return Imported(file, made, file.pending)


@transaction.atomic
def _keep(own: OwnStatement, *, name: str, digest: str, by: Any) -> tuple[StatementFile, bool]:
    """Write file and new movements; imports queue for the workshop's row, so overlap is seen."""
    Workshop.objects.select_for_update().first()
    statement = own.statement
    file, made = StatementFile.objects.get_or_create(
        digest=digest,
        defaults={
            "name": name[:200] or "statement",
            "format": statement.format,
            "account": plain(statement.account)[:34],
            "pending": statement.pending,
            "left_out": own.left_out,
            "by": by,
        },
    )
    if not made:
        return file, False
    earlier = _earlier(own.statement.entries)
    found = recognise(own.statement.entries, statement.format, earlier)
    StatementEntry.objects.bulk_create(_rows(found, file, earlier))
    file.seen_before = sum(one.verdict == Verdict.KNOWN for one in found)
    file.save(update_fields=["seen_before"])
    return file, True


def _earlier(entries: Iterable[BankEntry]) -> list[Kept]:
    """Return what earlier files told of the days of these movements."""
    kept = StatementEntry.objects.filter(booked_on__in={entry.booked_on for entry in entries})
    rows = kept.order_by("pk").values_list("pk", "file__format", *_TOLD)
    return [Kept(pk, told_in, BankEntry(*told)) for pk, told_in, *told in rows]


def _rows(
    found: Iterable[Recognised], file: StatementFile, earlier: Iterable[Kept]
) -> Iterable[StatementEntry]:
    """Yield a row for each movement that is not known; equal ones are counted apart in their keys."""
    seen = Counter((one.format, one.entry) for one in earlier)
    found = [one for one in found if one.verdict != Verdict.KNOWN]
    likes = [one.like for one in found if one.like]
    names = dict(StatementEntry.objects.filter(pk__in=likes).values_list("pk", "file__name"))
    for one in found:
        told = {name: getattr(one.entry, name) for name in _TOLD}
        seen[file.format, one.entry] += 1
        facts = (file.format, *told.values(), seen[file.format, one.entry])
        doubt = one.verdict == Verdict.DOUBT
        yield StatementEntry(
            file=file,
            key=hashlib.sha256("\x1f".join(map(str, facts)).encode()).hexdigest(),
            account=file.account,
            state=StatementEntry.State.DOUBT if doubt else StatementEntry.State.OPEN,
            waits_from=one.entry.booked_on,
            like_id=one.like,
            reason="doubt" if doubt else "",
            values={"file": names.get(one.like or 0, "")} if doubt else {},
            **told,
        )


def _match(file: StatementFile) -> None:
    waiting = file.entries.filter(state=StatementEntry.State.OPEN, reason="")
    rows = list(waiting.order_by("pk"))
    once = of_file(rows)
    plain = [row.pk for row in rows if names_nothing(row, once)]
    judge_together(plain, once)
    for pk in sorted({row.pk for row in rows} - set(plain)):
        match_entry(entry_id=pk)
