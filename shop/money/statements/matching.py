"""From a movement on the account to the job it is for: by reference, else by a person; always undoable."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Q

from shop.jobs.models import Job
from shop.money.ledger import PaymentError, book_payment, undo_payment
from shop.money.models import DepositRequest, Payment, Refund, StatementEntry
from shop.money.references import find_references, leads, nearly_named
from shop.money.refunds import mark_refund_paid

State = StatementEntry.State


@transaction.atomic
def match_entry(*, entry_id: int) -> Payment | None:
    """Match one open movement by the reference it carries; otherwise note why a person must look."""
    entry = StatementEntry.objects.select_for_update().get(pk=entry_id)
    if entry.state != State.OPEN:
        return None
    jobs, near = _named_jobs(entry)
    if entry.amount < 0:
        _match_outgoing(entry, jobs)
        return None
    note = _why_not(entry, jobs, near)
    if note:
        _mark(entry, State.OPEN, note)
        return None
    return _book(entry, jobs[0], by=None, note="by reference")


def _named_jobs(entry: StatementEntry) -> tuple[list[int], list[int]]:
    """Return the jobs whose reference the movement carries anywhere, and those it names but for a slip."""
    said = f"{entry.reference}\n{entry.text}"
    starts, whole = leads(said)
    if not starts and not whole:
        return [], []
    wanted = Q(reference__in=whole)
    for start in starts:
        wanted |= Q(reference__startswith=start)
    known: dict[str, int] = dict(DepositRequest.objects.filter(wanted).values_list("reference", "job"))
    found = [known[reference] for reference in find_references(said, known)]
    near = [known[reference] for reference in nearly_named(said, known)]
    return list(dict.fromkeys(found)), [job for job in dict.fromkeys(near) if job not in found]


def _why_not(entry: StatementEntry, jobs: list[int], near: list[int]) -> str:
    if not jobs and near:
        numbers = Job.objects.filter(pk__in=near[:3]).order_by("pk").values_list("number", flat=True)
        return f"One character away from the reference of {', '.join(numbers)}: it may be another job's"
    if not jobs:
        return "No known reference"
    if len(jobs) > 1:
        return "Names several jobs"
    request = DepositRequest.objects.filter(job=jobs[0]).latest("number")
    if entry.currency != request.currency:
        return f"In {entry.currency}, asked for in {request.currency}"
    return ""


def _match_outgoing(entry: StatementEntry, jobs: list[int]) -> None:
    """Money that went out pays a decided refund of that amount, or is none of the deposits' business."""
    refund = Refund.objects.filter(job__in=jobs, amount=-entry.amount, paid_on__isnull=True).first()
    if refund is not None:
        mark_refund_paid(refund_id=refund.pk, paid_on=entry.booked_on, by="system", entry=entry)
        _mark(entry, State.MATCHED, "refund paid out")
    elif jobs:
        _mark(entry, State.OPEN, "Went out, but no refund of this amount was decided")
    else:
        _mark(entry, State.SET_ASIDE, "went out")


def _book(entry: StatementEntry, job_id: int, *, by: Any, note: str) -> Payment:
    payment = book_payment(
        job_id=job_id,
        amount=entry.amount,
        received_on=entry.booked_on,
        method=Payment.Method.TRANSFER,
        by=by,
        entry=entry,
        note=note,
    )
    _mark(entry, State.MATCHED, note)
    return payment


def _mark(entry: StatementEntry, state: str, note: str) -> None:
    entry.state, entry.note = state, note[:200]
    entry.save(update_fields=["state", "note"])


@transaction.atomic
def match_by_hand(*, entry_id: int, job_id: int, by: Any) -> Payment:
    """Book an open movement for a job that a person chose; raise ``PaymentError`` when it cannot be."""
    entry = StatementEntry.objects.select_for_update().get(pk=entry_id)
    if entry.state == State.MATCHED:
        raise PaymentError("Someone has matched this already.")
    if entry.amount <= 0:
        raise PaymentError("Only money that came in can be matched to a job.")
    request = DepositRequest.objects.filter(job=job_id).order_by("number").last()
    if request and request.currency != entry.currency:
        raise PaymentError(f"It is in {entry.currency}, the request in {request.currency}.")
    return _book(entry, job_id, by=by, note="by hand")


@transaction.atomic
def unmatch(*, entry_id: int, by: Any) -> StatementEntry:
    """Undo a match: the payment is reversed in the ledger and the movement is open again."""
    entry = StatementEntry.objects.select_for_update().get(pk=entry_id)
    if Refund.objects.filter(entry=entry).exists():
        raise PaymentError("It paid a refund out, which cannot be undone here.")
    for payment in entry.payments.filter(amount__gt=0, undone_by__isnull=True):
        undo_payment(payment_id=payment.pk, by=by, note="match undone")
    _mark(entry, State.OPEN, "Match undone")
    return entry


@transaction.atomic
def set_aside(*, entry_id: int, note: str) -> StatementEntry:
    """Take an open movement off the list: it has nothing to do with deposits."""
    entry = StatementEntry.objects.select_for_update().get(pk=entry_id)
    if entry.state == State.OPEN:
        _mark(entry, State.SET_ASIDE, note.strip() or "not a deposit")
    return entry


@transaction.atomic
def bring_back(*, entry_id: int) -> StatementEntry:
    """Put a movement that was set aside on the list again."""
    entry = StatementEntry.objects.select_for_update().get(pk=entry_id)
    if entry.state == State.SET_ASIDE:
        _mark(entry, State.OPEN, "Brought back")
    return entry


@dataclass(frozen=True)
class Suggestion:
    """A job that an open movement may be for, and what speaks for it."""

    job: Job
    reasons: tuple[str, ...]


def suggestions(
    entry: StatementEntry, requests: list[DepositRequest], outstanding: dict[int, Decimal] | None = None
) -> list[Suggestion]:
    """Return the likeliest jobs, best first: job number named, payer's name, amount asked for.

    ``requests`` are the open requests with job and revision at hand, ``outstanding`` is what is still to
    come by job.
    """
    said = re.sub(r"[^0-9a-z]", "", f"{entry.reference} {entry.text}".casefold())
    found = []
    for request in requests:
        named = re.sub(r"[^0-9a-z]", "", request.job.number.casefold()) in said
        if not named and outstanding is not None and not outstanding.get(request.job_id):
            continue
        reasons = ["names the job's number"] if named else []
        if _same_name(entry.other_name, request.job.revision.name):
            reasons.append("the customer's name")
        if entry.amount in (request.amount, (outstanding or {}).get(request.job_id)):
            reasons.append("the amount asked for")
        if reasons:
            found.append(Suggestion(request.job, tuple(reasons)))
    return sorted(found, key=lambda one: -len(one.reasons))[:4]


def _same_name(one: str, other: str) -> bool:
    words = [set(re.findall(r"\w{2,}", name.casefold())) for name in (one, other)]
    return len(words[0] & words[1]) >= 2
