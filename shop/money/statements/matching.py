"""From a movement on the account to the job it is for: by reference, else by a person; always undoable."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.catalogue import workshop
from shop.money.ledger import PaymentError, book_payment
from shop.money.models import Payment, Refund, StatementEntry
from shop.money.reasons import BOUNCE_UNDONE, BOUNCED, BY_HAND, MATCH_UNDONE
from shop.money.refunds import mark_refund_paid
from shop.money.undoing import undo_payment

from .deciding import Act, Decision, decide

State = StatementEntry.State


def match_entry(*, entry_id: int) -> Payment | None:
    """Match one open movement by what it names; otherwise keep the reason why a person must look.

    What cannot be booked never stops the movements behind it: it stays open and says so.
    """
    try:
        return _match(entry_id)
    except PaymentError as error:
        with transaction.atomic():
            entry = _locked(entry_id)
            if entry.state == State.OPEN:
                _mark(entry, State.OPEN, "failed", error=error.kept())
        return None


@transaction.atomic
def _match(entry_id: int) -> Payment | None:
    entry = _locked(entry_id)
    if entry.state != State.OPEN:
        return None
    decision = decide(entry)
    if decision.act == Act.BOOK and decision.job is not None:
        return _book(entry, decision.job, entry.amount, by=None, decision=decision)
    if decision.act == Act.REFUND and decision.refund is not None:
        mark_refund_paid(refund_id=decision.refund, paid_on=entry.booked_on, by="system", entry=entry)
        _mark(entry, State.MATCHED, decision.reason)
    elif decision.act == Act.BOUNCE and decision.taken_back is not None:
        _take_back(entry, decision.taken_back, by=None)
    elif decision.act == Act.LATER:
        entry.match_on = entry.booked_on
        _mark(entry, State.OPEN, decision.reason, **decision.values)
    else:
        state = State.SET_ASIDE if decision.act == Act.ASIDE else State.OPEN
        _mark(entry, state, decision.reason, **decision.values)
    return None


def match_waiting(*, today: date | None = None) -> int:
    """Match the movements whose day has come since they were read; return how many there were."""
    day = today or timezone.localdate()
    waiting = StatementEntry.objects.filter(state=State.OPEN, match_on__lte=day)
    keys = list(waiting.order_by("pk").values_list("pk", flat=True))
    for pk in keys:
        match_entry(entry_id=pk)
    return len(keys)


def _locked(entry_id: int) -> StatementEntry:
    return StatementEntry.objects.select_for_update().get(pk=entry_id)


def _book(
    entry: StatementEntry, job_id: int, amount: Decimal, *, by: Any, decision: Decision | None = None
) -> Payment:
    payment = book_payment(
        job_id=job_id,
        amount=amount,
        received_on=entry.booked_on,
        method=Payment.Method.TRANSFER,
        by=by,
        entry=entry,
        note=decision.reason.replace("_", " ") if decision else BY_HAND,
    )
    if decision:
        _mark(entry, State.MATCHED, decision.reason)
    return payment


def _mark(entry: StatementEntry, state: str, reason: str, note: str = "", **values: Any) -> None:
    entry.state, entry.reason, entry.values, entry.note = state, reason, values, note[:200]
    if reason != "later":
        entry.match_on = None
    entry.save(update_fields=["state", "reason", "values", "note", "match_on"])


def match_by_hand(*, entry_id: int, job_id: int, by: Any) -> Payment:
    """Book an open movement for a job that a person chose; raise ``PaymentError`` when it cannot be."""
    amount = StatementEntry.objects.values_list("amount", flat=True).get(pk=entry_id)
    return split_by_hand(entry_id=entry_id, shares=[(job_id, amount)], by=by)[0]


@transaction.atomic
def split_by_hand(*, entry_id: int, shares: Sequence[tuple[int, Decimal]], by: Any) -> list[Payment]:
    """Book one open movement for the jobs that a person named, each with its share.

    The shares are (job, amount) and must come to the movement's whole amount, each above nothing and
    for a job of its own. Raises ``PaymentError`` when it cannot be; nothing is booked then.
    """
    entry = _locked(entry_id)
    if entry.state not in (State.OPEN, State.SET_ASIDE):
        raise PaymentError(_("Someone has matched this already."))
    if entry.amount <= 0:
        raise PaymentError(_("Only money that came in can be matched to a job."))
    own = workshop.currency()
    if entry.currency != own:
        raise PaymentError(
            _("It is in %(currency)s, the workshop reckons in %(own)s.")
            % {"currency": entry.currency, "own": own}
        )
    if len({job for job, _amount in shares}) < len(shares):
        raise PaymentError(_("One job is named twice."))
    total = sum((amount for _job, amount in shares), Decimal(0))
    if total != entry.amount:
        raise PaymentError(
            _("The shares come to %(total)s, the movement is %(amount)s.")
            % {"total": total, "amount": entry.amount}
        )
    # Jobs are locked in the order of their keys, so that two people splitting never wait for each other.
    booked = [_book(entry, job, amount, by=by) for job, amount in sorted(shares)]
    _mark(entry, State.MATCHED, "by_hand" if len(booked) == 1 else "split", count=len(booked))
    return booked


@transaction.atomic
def take_back_by_hand(*, entry_id: int, taken_back_id: int, by: Any) -> StatementEntry:
    """Say that money going out is the bounce of an earlier movement; its payments are undone."""
    entry = _locked(entry_id)
    if entry.state not in (State.OPEN, State.SET_ASIDE):
        raise PaymentError(_("Someone has matched this already."))
    if entry.amount >= 0:
        raise PaymentError(_("Only money that went out can take a payment back."))
    _take_back(entry, taken_back_id, by=by)
    return entry


def _take_back(entry: StatementEntry, taken_back_id: int, *, by: Any) -> None:
    original = _locked(taken_back_id)
    if original.state != State.MATCHED or original.amount != -entry.amount:
        raise PaymentError(_("That movement does not stand as a payment of this amount."))
    for payment in original.payments.filter(amount__gt=0, undone_by__isnull=True):
        undo_payment(payment_id=payment.pk, by=by, note=BOUNCED, entry=entry, on=entry.booked_on)
    entry.like = original
    entry.save(update_fields=["like"])
    _mark(entry, State.MATCHED, "bounced", day=original.booked_on.isoformat())


@transaction.atomic
def unmatch(*, entry_id: int, by: Any) -> StatementEntry:
    """Undo a match: the payments are reversed in the ledger and the movement is open again.

    A bounce that was none gives its payments back.
    """
    entry = _locked(entry_id)
    if entry.state != State.MATCHED:
        return entry
    if Refund.objects.filter(entry=entry).exists():
        raise PaymentError(_("It paid a refund out, which cannot be undone here."))
    for undoing in entry.payments.filter(amount__lt=0, undoes__entry=entry.like).exclude(undoes__entry=entry):
        book_payment(
            job_id=undoing.job_id,
            amount=-undoing.amount,
            received_on=entry.booked_on,
            method=undoing.method,
            by=by,
            entry=entry.like,
            note=BOUNCE_UNDONE,
            press=f"unbounce-{undoing.pk}",
        )
    for payment in entry.payments.filter(amount__gt=0, undone_by__isnull=True):
        undo_payment(payment_id=payment.pk, by=by, note=MATCH_UNDONE)
    _mark(entry, State.OPEN, "undone")
    return entry


@transaction.atomic
def set_aside(*, entry_id: int, note: str) -> StatementEntry:
    """Take an open movement off the list: it has nothing to do with deposits.

    Raises ``PaymentError`` where it is booked, or known already, by now.
    """
    entry = _locked(entry_id)
    if entry.state == State.OPEN:
        _mark(entry, State.SET_ASIDE, "aside", note.strip())
    elif entry.state != State.SET_ASIDE:
        raise PaymentError(settled_since(entry))
    return entry


@transaction.atomic
def bring_back(*, entry_id: int) -> StatementEntry:
    """Put a movement that was set aside on the list again."""
    entry = _locked(entry_id)
    if entry.state == State.SET_ASIDE:
        _mark(entry, State.OPEN, "brought_back")
    return entry


@transaction.atomic
def same_movement(*, entry_id: int) -> StatementEntry:
    """Settle a doubt: it is the movement that an earlier file told, and is never booked.

    Raises ``PaymentError`` where it was taken as another one meanwhile.
    """
    entry = _locked(entry_id)
    if entry.state == State.DOUBT:
        _mark(entry, State.KNOWN, "same", **entry.values)
    elif entry.state != State.KNOWN:
        raise PaymentError(settled_since(entry))
    return entry


def settled_since(entry: StatementEntry) -> str:
    """Say what became of a movement since somebody looked at it."""
    return _("Somebody has decided about it since you opened the page: “%(state)s”, %(said)s.") % {
        "state": entry.get_state_display(),
        "said": entry.said,
    }


def check_unsettled(entry: StatementEntry) -> None:
    """Raise ``PaymentError`` where a doubt was settled since it was looked at."""
    if entry.state != State.DOUBT:
        raise PaymentError(settled_since(entry))


def another_movement(*, entry_id: int) -> StatementEntry:
    """Settle a doubt: it is a movement of its own, which is matched like any other."""
    with transaction.atomic():
        entry = _locked(entry_id)
        if entry.state not in (State.DOUBT, State.KNOWN):
            return entry
        _mark(entry, State.OPEN, "another", **entry.values)
    match_entry(entry_id=entry_id)
    entry.refresh_from_db()
    return entry
