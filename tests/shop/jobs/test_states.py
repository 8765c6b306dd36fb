"""Every state, every move, every role: the table is what happens, and nothing else does."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db.models import F
from django.utils import timezone

from shop.jobs.errors import JobError, NotAllowedError, UnmetError, WrongStateError
from shop.jobs.roles import Actor
from shop.jobs.service import move
from shop.jobs.states import BEFORE_THE_BAY, MOVES, ORDER, ROLES, State
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db

# The design's page 4, written down here a second time on purpose: from, to, who besides the manager.
FORWARD = {
    ("sent", "in_review"): {"reviewer"},
    ("in_review", "waiting"): {"reviewer"},
    ("waiting", "in_review"): {"reviewer", "customer"},
    ("in_review", "agreed"): {"reviewer"},
    ("waiting", "agreed"): {"customer"},
    ("agreed", "in_review"): {"reviewer"},
    ("deposit_due", "in_review"): {"reviewer"},
    ("agreed", "deposit_due"): {"system"},
    ("deposit_due", "deposit_in"): {"system"},
    ("deposit_in", "parts_on_order"): {"buyer", "system"},
    ("deposit_in", "parts_in"): {"buyer", "system"},
    ("parts_on_order", "parts_in"): {"buyer", "system"},
    ("parts_in", "booked"): {"reviewer"},
    ("booked", "in_the_bay"): {"technician"},
    ("booked", "parts_in"): {"reviewer"},
    ("in_the_bay", "ready"): {"technician"},
    ("ready", "in_the_bay"): {"technician", "reviewer", "system"},
    ("ready", "handed_over"): {"reviewer"},
}


def expected() -> dict[tuple[str, str], set[str]]:
    """Return the allowed moves with everyone who may make them."""
    allowed = {move: roles | {"manager"} for move, roles in FORWARD.items()}
    # Only the ledger tells whether a deposit is there.
    allowed[("deposit_due", "deposit_in")] = {"system"}
    for state in ("deposit_in", "parts_on_order", "parts_in", "booked"):
        allowed[(state, "deposit_due")] = {"system"}
    # A change that both agreed to can add parts that nobody has ordered.
    for state in ("parts_on_order", "parts_in"):
        allowed[(state, "deposit_in")] = {"system"}
    allowed[("in_the_bay", "cancelled")] = {"reviewer", "manager"}
    for state in BEFORE_THE_BAY:
        allowed[(state, "declined")] = {"reviewer", "manager"}
        allowed[(state, "cancelled")] = {"reviewer", "customer", "manager"}
    return allowed


def test_the_order_is_the_designs() -> None:
    names = "sent, in review, waiting for customer, agreed, deposit due, deposit in, parts on order, "
    names += "parts in, booked, in the bay, ready, handed over"
    assert ", ".join(str(state.label) for state in ORDER) == names


def ready_for_anything(state: str) -> Job:
    """Return a job in a state with everything that any move wants in place."""
    now = timezone.now()
    job = factories.job(state=state)
    job.workshop_agreed_revision = job.customer_agreed_revision = job.revision
    job.save()
    job.operations.update(
        planned_start=now, planned_end=now, planned_free=now + timedelta(hours=1), done_at=now
    )
    job.parts.update(issued=F("quantity"))
    return job


@pytest.mark.long
@pytest.mark.parametrize("source", list(State))
def test_every_move_by_every_role(source: State) -> None:
    allowed = expected()
    job = ready_for_anything(source)
    for to in State:
        for role in ROLES:
            Job.objects.filter(pk=job.pk).update(state=source, workshop_agreed_revision=job.revision)
            before = job.history.count()
            by = Actor(role, frozenset({role}))
            try:
                moved = move(job_id=job.pk, to=to, by=by, why="because")
            except JobError:
                moved = False
            job.refresh_from_db()
            may = role in allowed.get((source.value, to.value), set())
            assert moved == may, (source, to, role)
            assert job.state == (to if may else source)
            assert job.history.count() == before + may
            if may:
                entry = job.history.last()
                assert (entry.from_state, entry.to_state, entry.who) == (source, to, role)


def test_the_refusal_says_which_it_is() -> None:
    job = factories.job()
    with pytest.raises(NotAllowedError, match="is for: manager, reviewer"):
        move(job_id=job.pk, to="in_review", by="customer")
    with pytest.raises(WrongStateError, match="is “sent” and cannot go to “ready”"):
        move(job_id=job.pk, to="ready", by=factories.staff("manager"))


@pytest.mark.parametrize("source", BEFORE_THE_BAY)
@pytest.mark.parametrize("to", ["declined", "cancelled"])
def test_declining_and_cancelling_need_a_reason(source: State, to: str) -> None:
    job = factories.job(state=source)
    with pytest.raises(UnmetError) as caught:
        move(job_id=job.pk, to=to, by=factories.staff("reviewer"), why="  ")
    assert caught.value.field == "why"


def test_nothing_leaves_a_closed_state() -> None:
    closed = {"handed_over", "declined", "cancelled"}
    assert not [move for move in MOVES.values() if move.source in closed]


def test_every_state_can_be_reached_and_left_for_an_end() -> None:
    reached, frontier = {"sent"}, ["sent"]
    while frontier:
        state = frontier.pop()
        found = {to for source, to in MOVES if source == state} - reached
        reached |= found
        frontier += found
    assert reached == set(State.values)
    for state in State:
        ends, frontier = {state.value}, [state.value]
        while frontier:
            here = frontier.pop()
            found = {to for source, to in MOVES if source == here} - ends
            ends |= found
            frontier += found
        assert ends & {"handed_over", "declined", "cancelled"}
