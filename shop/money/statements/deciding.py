"""What is to happen with a movement: booked for a job, a refund paid, a payment taken back, or asked.

Nothing is changed here, so the preview and the booking are of one mind.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from django.db.models import F
from django.utils import timezone

from configurator.catalogue import workshop
from shop.jobs.models import Job
from shop.money.account import account
from shop.money.models import DepositRequest, Refund, StatementEntry
from shop.money.references import find_references, leads, nearly_named

from .entries import BankEntry

Movement = BankEntry | StatementEntry
AT_ONCE = 500


class Act(StrEnum):
    """What to do with a movement."""

    BOOK = "book"
    REFUND = "refund"
    BOUNCE = "bounce"
    ASIDE = "aside"
    ASK = "ask"
    LATER = "later"


@dataclass(frozen=True)
class Decision:
    """The act, why (a code of ``reasons`` with its values), and what it is about."""

    act: Act
    reason: str
    values: dict[str, Any] = field(default_factory=dict)
    job: int | None = None
    refund: int | None = None
    taken_back: int | None = None
    numbers: tuple[str, ...] = ()


@dataclass(frozen=True)
class OfFile:
    """What is the same for all movements of a file: references that they may name, the own currency."""

    references: dict[str, int]
    currency: str


def of_file(entries: Iterable[Movement]) -> OfFile:
    """Ask once for all movements of a file what each would ask for itself."""
    return OfFile(known_references(map(words_of, entries)), workshop.currency())


def names_nothing(entry: Movement, file: OfFile) -> bool:
    """Whether a movement names no job in any way and takes nothing back: it is decided without more."""
    return not (entry.is_reversal or entry.documents.strip() or any(named_jobs(entry, file.references)))


def decide(entry: Movement, file: OfFile | None = None) -> Decision:
    """Return what is to happen with a movement that is not known yet.

    ``file`` is what was asked once for all movements beside it.
    """
    if entry.booked_on > timezone.localdate():
        return Decision(Act.LATER, "later", {"day": entry.booked_on.isoformat()})
    exact, near = named_jobs(entry, file.references if file else None)
    if entry.amount < 0:
        return _outgoing(entry, exact)
    if entry.is_reversal:
        return Decision(Act.ASK, "came_back")
    own = file.currency if file else workshop.currency()
    if entry.currency != own:
        return Decision(Act.ASK, "currency", {"currency": entry.currency, "asked": own})
    return _incoming(entry, exact, near)


def _incoming(entry: Movement, exact: list[int], near: list[int]) -> Decision:
    if len(exact) == 1:
        return Decision(Act.BOOK, "by_reference", job=exact[0], numbers=_numbers(exact))
    if exact:
        return _ask("several", exact)
    documents = entry.documents.upper().split()
    named = list(Job.objects.filter(number__in=documents).order_by("pk")) if documents else []
    if len(named) == 1 and account(named[0]).outstanding == entry.amount:
        return Decision(Act.BOOK, "by_document", job=named[0].pk, numbers=(named[0].number,))
    if named:
        return _ask("document", [job.pk for job in named])
    return _ask("near", near) if near else Decision(Act.ASK, "no_reference")


def _ask(reason: str, jobs: list[int]) -> Decision:
    numbers = _numbers(jobs)
    return Decision(Act.ASK, reason, {"numbers": ", ".join(numbers[:4])}, numbers=numbers)


def _numbers(jobs: list[int]) -> tuple[str, ...]:
    return tuple(Job.objects.filter(pk__in=jobs).order_by("pk").values_list("number", flat=True))


def _outgoing(entry: Movement, jobs: list[int]) -> Decision:
    """Money that went out takes a payment back, pays a decided refund, or is none of our business."""
    if entry.is_reversal:
        bounced = bounced_payments(entry, jobs)
        if len(bounced) == 1:
            day = bounced[0].booked_on.isoformat()
            return Decision(Act.BOUNCE, "bounced", {"day": day}, taken_back=bounced[0].pk)
        return Decision(Act.ASK, "reversal")
    # One that was noted as paid out by hand is told by the statement too: it is that one, and not another.
    refunds = Refund.objects.filter(job__in=jobs, amount=-entry.amount, withdrawn_at=None, entry=None)
    first = refunds.order_by(F("paid_on").asc(nulls_first=True), "pk").first()
    refund = first if entry.currency == workshop.currency() else None
    if refund is not None:
        return Decision(Act.REFUND, "refund", refund=refund.pk)
    return Decision(Act.ASK, "no_refund") if jobs else Decision(Act.ASIDE, "went_out")


def bounced_payments(entry: Movement, jobs: list[int] | None = None) -> list[StatementEntry]:
    """Return the matched movements that one going out may take back, the likeliest kind only.

    The sum must be the same and the day not later. Of those, the job named by reference decides, else
    the payer's account, else the payer's name; with none of them all are returned.
    """
    like = list(
        StatementEntry.objects.filter(
            state=StatementEntry.State.MATCHED,
            amount=-entry.amount,
            currency=entry.currency,
            booked_on__lte=entry.booked_on,
            payments__undone_by__isnull=True,
            payments__amount__gt=0,
        )
        .prefetch_related("payments__job")
        .distinct()
        .order_by("-booked_on", "-pk")[:50]
    )
    named = set(named_jobs(entry)[0] if jobs is None else jobs)
    for sure in (
        [one for one in like if named & {payment.job_id for payment in one.payments.all()}],
        [one for one in like if entry.other_iban and one.other_iban == entry.other_iban],
        [
            one
            for one in like
            if entry.other_name and one.other_name.casefold() == entry.other_name.casefold()
        ],
    ):
        if sure:
            return sure
    return like


def named_jobs(entry: Movement, references: dict[str, int] | None = None) -> tuple[list[int], list[int]]:
    """Return the jobs whose reference the movement carries anywhere, and those it names but for a slip."""
    words = words_of(entry)
    return named_in(words, known_references([words]) if references is None else references)


def words_of(entry: Movement) -> str:
    """Return all that a payer may have typed a reference into."""
    return f"{entry.reference}\n{entry.documents}\n{entry.text}"


def known_references(texts: Iterable[str]) -> dict[str, int]:
    """Return the references that any of the texts may name, with their jobs, in few queries."""
    wanted: set[str] = set()
    for text in texts:
        wanted |= leads(text)
    found: dict[str, int] = {}
    ordered = sorted(wanted)
    for start in range(0, len(ordered), AT_ONCE):
        some = DepositRequest.objects.filter(reference__in=ordered[start : start + AT_ONCE])
        found |= dict(some.values_list("reference", "job"))
    return found


def named_in(said: str, known: dict[str, int]) -> tuple[list[int], list[int]]:
    """Return the jobs of ``known`` that a text names, and those that it names but for a slip."""
    found = [known[reference] for reference in find_references(said, known)]
    near = [known[reference] for reference in nearly_named(said, known)]
    return list(dict.fromkeys(found)), [job for job in dict.fromkeys(near) if job not in found]
