"""The states of a job and the one table of allowed moves: from where, to where, by whom.

What else must hold for a move is named here and checked in ``holds``; the moving itself, with the
row locked and a history entry, is in ``service``.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _

REVIEWER, BUYER, TECHNICIAN, MANAGER = "reviewer", "buyer", "technician", "manager"
CUSTOMER, SYSTEM = "customer", "system"
STAFF_ROLES = (REVIEWER, BUYER, TECHNICIAN, MANAGER)
ROLES = (*STAFF_ROLES, CUSTOMER, SYSTEM)


class State(TextChoices):
    """Where a job stands, in the order a job goes through."""

    SENT = "sent", _("sent")
    IN_REVIEW = "in_review", _("in review")
    WAITING = "waiting", _("waiting for customer")
    AGREED = "agreed", _("agreed")
    DEPOSIT_DUE = "deposit_due", _("deposit due")
    DEPOSIT_IN = "deposit_in", _("deposit in")
    PARTS_ON_ORDER = "parts_on_order", _("parts on order")
    PARTS_IN = "parts_in", _("parts in")
    BOOKED = "booked", _("booked")
    IN_THE_BAY = "in_the_bay", _("in the bay")
    READY = "ready", _("ready")
    HANDED_OVER = "handed_over", _("handed over")
    DECLINED = "declined", _("declined")
    CANCELLED = "cancelled", _("cancelled")


ORDER = tuple(State)[:12]
CLOSED = frozenset({State.HANDED_OVER, State.DECLINED, State.CANCELLED})
OPEN = tuple(state for state in State if state not in CLOSED)
BEFORE_THE_BAY = ORDER[: ORDER.index(State.IN_THE_BAY)]
AMENDABLE = frozenset({State.IN_REVIEW})


@dataclass(frozen=True)
class Move:
    """One allowed move. ``needs_why``: a reason must be given. ``holds``: names of conditions."""

    source: State
    to: State
    roles: frozenset[str]
    action: str
    needs_why: bool = False
    holds: tuple[str, ...] = ()


def _move(
    source: State, to: State, *roles: str, action: str, why: bool = False, holds: tuple[str, ...] = ()
) -> Move:
    return Move(source, to, frozenset({*roles, MANAGER}), action, why, holds)


_S = State
_MOVES = [
    _move(_S.SENT, _S.IN_REVIEW, REVIEWER, action="job.taken_into_review"),
    _move(_S.IN_REVIEW, _S.WAITING, REVIEWER, action="job.customer_asked", why=True),
    _move(_S.WAITING, _S.IN_REVIEW, REVIEWER, CUSTOMER, action="job.back_in_review"),
    _move(_S.IN_REVIEW, _S.AGREED, REVIEWER, action="job.agreed", holds=("both_agreed", "nothing_says_no")),
    _move(_S.WAITING, _S.AGREED, CUSTOMER, action="job.agreed", holds=("both_agreed", "nothing_says_no")),
    _move(_S.AGREED, _S.IN_REVIEW, REVIEWER, action="job.reopened", why=True),
    _move(_S.DEPOSIT_DUE, _S.IN_REVIEW, REVIEWER, action="job.reopened", why=True),
    _move(_S.AGREED, _S.DEPOSIT_DUE, SYSTEM, action="job.deposit_asked"),
    # Only the ledger says so: nobody calls a deposit paid without booking a payment.
    Move(_S.DEPOSIT_DUE, _S.DEPOSIT_IN, frozenset({SYSTEM}), "job.deposit_received"),
    _move(
        _S.DEPOSIT_IN,
        _S.PARTS_ON_ORDER,
        BUYER,
        SYSTEM,
        action="job.parts_ordered",
        holds=("parts_ordered",),
    ),
    _move(_S.DEPOSIT_IN, _S.PARTS_IN, BUYER, SYSTEM, action="job.parts_in", holds=("parts_complete",)),
    _move(_S.PARTS_ON_ORDER, _S.PARTS_IN, BUYER, SYSTEM, action="job.parts_in", holds=("parts_complete",)),
    _move(_S.PARTS_IN, _S.BOOKED, REVIEWER, action="job.booked", holds=("planned", "not_on_hold")),
    _move(_S.BOOKED, _S.PARTS_IN, REVIEWER, action="job.dates_taken_back", why=True),
    _move(_S.BOOKED, _S.IN_THE_BAY, TECHNICIAN, action="job.work_started", holds=("not_on_hold",)),
    _move(
        _S.IN_THE_BAY,
        _S.READY,
        TECHNICIAN,
        action="job.made_ready",
        holds=("work_done", "measured", "nothing_asked"),
    ),
    _move(_S.READY, _S.IN_THE_BAY, TECHNICIAN, REVIEWER, SYSTEM, action="job.back_in_the_bay", why=True),
    _move(_S.READY, _S.HANDED_OVER, REVIEWER, action="job.handed_over"),
]
# A payment that is undone or bounces takes the job back, as long as the vehicle is not here.
_MOVES += [
    Move(state, _S.DEPOSIT_DUE, frozenset({SYSTEM}), "job.deposit_gone")
    for state in ORDER[ORDER.index(_S.DEPOSIT_IN) : ORDER.index(_S.IN_THE_BAY)]
]
# What a change adds to the parts list is not on order yet.
_MOVES += [
    Move(state, _S.DEPOSIT_IN, frozenset({SYSTEM}), "job.parts_wanted")
    for state in (_S.PARTS_ON_ORDER, _S.PARTS_IN)
]
_MOVES += [
    _move(_S.IN_THE_BAY, _S.CANCELLED, REVIEWER, action="job.cancelled", why=True, holds=("wheels_tight",))
]
_MOVES += [_move(state, _S.DECLINED, REVIEWER, action="job.declined", why=True) for state in BEFORE_THE_BAY]
_MOVES += [
    _move(state, _S.CANCELLED, REVIEWER, CUSTOMER, action="job.cancelled", why=True)
    for state in BEFORE_THE_BAY
]

MOVES: dict[tuple[str, str], Move] = {(move.source.value, move.to.value): move for move in _MOVES}


def roles_into(to: str) -> frozenset[str]:
    """Return everyone who may ever move a job into this state."""
    return frozenset().union(*(move.roles for move in MOVES.values() if move.to == to))
