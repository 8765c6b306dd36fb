"""Each move as the history has it, whether it needs a reason, what must hold: written a second time."""

from __future__ import annotations

from shop.jobs.states import AMENDABLE, BEFORE_THE_BAY, CLOSED, MOVES, Move, State, roles_into

AGREEING = ("both_agreed", "nothing_says_no")
# From, to: what the history calls it, whether a reason is needed, what must hold.
WHOLE = {
    ("sent", "in_review"): ("taken_into_review", False, ()),
    ("in_review", "waiting"): ("customer_asked", True, ()),
    ("waiting", "in_review"): ("back_in_review", False, ()),
    ("in_review", "agreed"): ("agreed", False, AGREEING),
    ("waiting", "agreed"): ("agreed", False, AGREEING),
    ("agreed", "in_review"): ("reopened", True, ()),
    ("deposit_due", "in_review"): ("reopened", True, ()),
    ("agreed", "deposit_due"): ("deposit_asked", False, ()),
    ("deposit_due", "deposit_in"): ("deposit_received", False, ()),
    ("deposit_in", "parts_on_order"): ("parts_ordered", False, ("parts_ordered",)),
    ("deposit_in", "parts_in"): ("parts_in", False, ("parts_complete",)),
    ("parts_on_order", "parts_in"): ("parts_in", False, ("parts_complete",)),
    ("parts_in", "booked"): ("booked", False, ("planned", "not_on_hold")),
    ("booked", "parts_in"): ("dates_taken_back", True, ()),
    ("booked", "in_the_bay"): ("work_started", False, ("not_on_hold",)),
    ("in_the_bay", "ready"): ("made_ready", False, ("work_done", "measured", "nothing_asked")),
    ("ready", "in_the_bay"): ("back_in_the_bay", True, ()),
    ("ready", "handed_over"): ("handed_over", False, ()),
    ("deposit_in", "deposit_due"): ("deposit_gone", False, ()),
    ("parts_on_order", "deposit_due"): ("deposit_gone", False, ()),
    ("parts_in", "deposit_due"): ("deposit_gone", False, ()),
    ("booked", "deposit_due"): ("deposit_gone", False, ()),
    ("parts_on_order", "deposit_in"): ("parts_wanted", False, ()),
    ("parts_in", "deposit_in"): ("parts_wanted", False, ()),
}
OPEN = [
    "sent",
    "in_review",
    "waiting",
    "agreed",
    "deposit_due",
    "deposit_in",
    "parts_on_order",
    "parts_in",
    "booked",
]


def whole(move: Move) -> tuple[str, bool, tuple[str, ...]]:
    return move.action.removeprefix("job."), move.needs_why, move.holds


def test_every_move_whole() -> None:
    found = {key: whole(move) for key, move in MOVES.items() if key[1] not in ("declined", "cancelled")}
    assert found == WHOLE
    assert all(move.action.startswith("job.") for move in MOVES.values())
    assert all((move.source, move.to) == key for key, move in MOVES.items())


def test_declining_and_cancelling_whole() -> None:
    for end in ("declined", "cancelled"):
        into = {source: whole(move) for (source, to), move in MOVES.items() if to == end}
        off = {"in_the_bay": (end, True, ("wheels_tight",))} if end == "cancelled" else {}
        assert into == dict.fromkeys(OPEN, (end, True, ())) | off


def test_where_a_job_is_closed_still_open_or_can_be_amended() -> None:
    assert {*CLOSED} == {"handed_over", "declined", "cancelled"}
    assert [state.value for state in BEFORE_THE_BAY] == OPEN
    assert State.IN_REVIEW in AMENDABLE
    assert not {*AMENDABLE} & {*CLOSED}


def test_everyone_who_may_ever_move_a_job_into_a_state() -> None:
    assert roles_into("deposit_in") == {"system"}
    assert roles_into("handed_over") == {"reviewer", "manager"}
    assert roles_into("cancelled") == {"reviewer", "customer", "manager"}
    assert roles_into("sent") == frozenset()
