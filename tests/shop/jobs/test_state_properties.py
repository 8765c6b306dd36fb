"""Whatever anybody tries in whatever order, the history tells one unbroken story."""

from __future__ import annotations

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.jobs.errors import JobError
from shop.jobs.roles import Actor
from shop.jobs.service import move
from shop.jobs.states import CLOSED, MOVES, ROLES, State
from tests.shop import factories

TRIES = st.lists(
    st.tuples(st.sampled_from(list(State)), st.sampled_from(ROLES), st.sampled_from(["", "because"])),
    min_size=1,
    max_size=25,
)


@pytest.mark.long
@pytest.mark.django_db
@given(tries=TRIES)
@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_any_tries_leave_a_whole_history(tries) -> None:
    with transaction.atomic():
        job = factories.job()
        version, state, closed = job.version, job.state, False
        for to, role, why in tries:
            try:
                moved = move(job_id=job.pk, to=to, by=Actor(role, frozenset({role})), why=why)
            except JobError:
                moved = False
            job.refresh_from_db()
            assert not (moved and closed)
            assert moved == (job.state != state)
            assert job.version == version + moved
            if moved:
                assert (state, job.state) in MOVES
            version, state, closed = job.version, job.state, job.state in CLOSED
        entries = [entry for entry in job.history.all() if entry.to_state]
        assert entries[0].to_state == "sent"
        assert [entry.from_state for entry in entries[1:]] == [entry.to_state for entry in entries[:-1]]
        assert entries[-1].to_state == job.state
        assert all(entry.who for entry in entries)
        transaction.set_rollback(True)
