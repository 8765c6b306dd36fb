"""Whatever is done in whatever order: money and stock sum, promises are kept, a way leads on or off."""

from __future__ import annotations

import os
from collections import Counter
from decimal import Decimal
from typing import Any

import pytest

from configurator.builds.free_lines import PREFIX
from shop.jobs.changes import CHANGEABLE
from shop.jobs.evaluations import evaluation_of
from shop.jobs.states import CLOSED, MOVES, ORDER, STAFF_ROLES, State
from shop.models import Job, JobPart, Reservation, StockLevel, StockMovement
from tests.shop.money.recomputing import check_books, kept, plainly
from tests.shop.parts.kept import shortages_agree

from .walking import Workshop

BOOKS_EVERY = 40
"""Steps between two looks at invoices, export and accounts, which reads every job's rows."""
AGREED = ORDER[ORDER.index(State.DEPOSIT_DUE) :]


def check_job(job: Job) -> None:
    """What holds of every job at every moment."""
    assert plainly(job) == kept(job)
    found = evaluation_of(job.revision)
    assert found.price is not None
    request = job.deposit_requests.get(superseded_at=None)
    assert request.total == found.price.total, "what is asked for is what the build costs"
    own = [line.choice for line in found.price.lines if line.choice.startswith(PREFIX)]
    in_force = [f"{PREFIX}{number}" for number in in_force_of(job)]
    assert sorted(own) == sorted(in_force), "each line in force is charged once, and no other"
    keys = set(job.operations.values_list("key", flat=True))
    planned = {step.key for step in found.work.steps} if found.work else set()
    assert planned <= keys, "what was promised is on the checklist"
    left = job.operations.exclude(key__in=planned).filter(done_at=None)
    assert not left.exclude(stage__in=("refit", "wheels on", "torque")).exists(), "nothing else is to be done"
    if job.state in AGREED:
        yes = {job.agreed_revision_id, job.customer_agreed_revision_id, job.workshop_agreed_revision_id}
        assert yes == {job.revision_id}, "nothing is worked on that was not agreed by both"
    if job.state not in CHANGEABLE:
        assert not job.proposals.filter(state="open").exists()
    if job.state == State.BOOKED:
        assert job.booked_start
        assert job.promised_ready_at
    if job.state not in CLOSED:
        ways = [move for (source, _to), move in MOVES.items() if source == job.state]
        assert any(move.roles & set(STAFF_ROLES) for move in ways), "somebody here can move it"


def in_force_of(job: Job) -> list[int]:
    return list(job.lines.filter(state="in force").values_list("number", flat=True))


def check_stock() -> None:
    """Every level is the sum of its movements, and nothing is promised to two."""
    moved: Counter[str] = Counter()
    for sku, quantity in StockMovement.objects.values_list("sku", "quantity"):
        moved[sku] += quantity  # type: ignore[assignment]
    reserved: Counter[str] = Counter()
    for sku, quantity in Reservation.objects.values_list("sku", "quantity"):
        reserved[sku] += quantity
    for level in StockLevel.objects.all():
        assert level.quantity == moved[level.sku], level.sku
        assert reserved[level.sku] <= level.quantity, level.sku
    for part in JobPart.objects.select_related("reservation"):
        out = sum((-m.quantity for m in part.movements.all()), Decimal(0))
        assert out == part.issued, part
        held = getattr(part, "reservation", None)
        if held:
            assert held.sku == part.sku
            assert not part.dropped
            assert held.quantity <= part.quantity - part.issued
    shortages_agree()


def walk(steps: int, seed: int) -> Workshop:
    """Walk, check after each step, then see every job to an end."""
    shop = Workshop(seed)
    for number in range(steps):
        tried = shop.step()
        for job in Job.objects.exclude(state__in=CLOSED).select_related("revision"):
            try:
                check_job(job)
            except AssertionError as error:
                raise AssertionError(f"{job} in {job.state} after {tried}, seed {seed}: {error}") from error
        if tried in ("do_receive", "do_start", "do_agree", "do_put_back", "do_cancel", "do_replace"):
            check_stock()
        if number % BOOKS_EVERY == 0:
            check_books(*Job.objects.select_related("revision"))
    for job in Job.objects.exclude(state__in=CLOSED):
        shop.finish(job)
    for job in Job.objects.select_related("revision"):
        assert job.state in CLOSED
        check_job(job)
    check_books(*Job.objects.select_related("revision"))
    check_stock()
    assert not Reservation.objects.filter(part__job__state__in=("cancelled", "declined")).exists()
    return shop


@pytest.mark.django_db
@pytest.mark.parametrize(("steps", "kinds"), [(16, 5), pytest.param(100, 15, marks=pytest.mark.long)])
def test_a_short_walk(demo_catalogue: Any, steps: int, kinds: int) -> None:
    shop = walk(steps=steps, seed=int(os.environ.get("KERBLINE_WALK_SEED", "11")))
    assert len(shop.done) > kinds, "a walk that stands still shows nothing"


@pytest.mark.services
@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(4))
def test_a_long_walk(demo_catalogue: Any, seed: int) -> None:
    steps = int(os.environ.get("KERBLINE_WALK_STEPS", "1000"))
    shop = walk(steps=steps, seed=seed)
    never = set(shop.deeds) - set(shop.done)
    # Of a thousand deeds nearly every kind comes about; a shorter walk leaves the rare ones out.
    assert len(never) <= (3 if steps >= 1000 else 8), f"deeds that never came about: {sorted(never)}"
