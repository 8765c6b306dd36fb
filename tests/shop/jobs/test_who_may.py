"""What is no move of the table has doors of its own: who may do it, and nobody else."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.jobs import agreement, service
from shop.jobs.access import sees_customer, visible_jobs, visible_states
from shop.jobs.errors import NotAllowedError, UnmetError, WrongStateError
from shop.jobs.roles import Actor, actor, make_roles, roles_of
from shop.jobs.states import ROLES, State
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db

Deed = Callable[[Job, Actor], bool]
# What each deed is, in which state of the job it can be done, and who may: written down a second time.
DEEDS: dict[str, tuple[str, Deed, set[str]]] = {
    "recheck": (
        "handed_over",
        lambda job, by: service.recheck(job_id=job.pk, by=by, note="All tight."),
        {"reviewer", "technician", "manager"},
    ),
    "renew the link": (
        "sent",
        lambda job, by: service.renew_link(job_id=job.pk, by=by),
        {"reviewer", "manager", "system"},
    ),
    "confirm": (
        "in_review",
        lambda job, by: agreement.agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=by),
        {"reviewer", "manager"},
    ),
    "hold": (
        "parts_in",
        lambda job, by: service.hold(job_id=job.pk, by=by, reason="The grille is broken."),
        {"reviewer", "buyer", "technician", "manager", "system"},
    ),
    "release": (
        "booked",
        lambda job, by: service.release(job_id=job.pk, by=by),
        {"reviewer", "buyer", "technician", "manager", "system"},
    ),
    "note the deposit": (
        "deposit_due",
        lambda job, by: service.deposit_received(job_id=job.pk, by=by),
        {"system"},
    ),
    "note an early deposit": (
        "in_review",
        lambda job, by: service.deposit_received(job_id=job.pk, by=by),
        {"system"},
    ),
}


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("name", DEEDS)
def test_who_may(name: str, role: str) -> None:
    state, deed, allowed = DEEDS[name]
    held = "The vehicle is late." if name == "release" else ""
    job = factories.job(state=state, recheck_due_on=timezone.localdate(), on_hold_reason=held)
    before, token = job.history.count(), job.token

    if role in allowed:
        assert deed(job, Actor(role, frozenset({role})))
    else:
        with pytest.raises(NotAllowedError):
            deed(job, Actor(role, frozenset({role})))

    job.refresh_from_db()
    assert (job.history.count() > before) == (role in allowed)
    if role in allowed:
        # Confirming brings the deposit's request and the system with it: the deed's own entry comes first.
        assert job.history.all()[before].who == role
        assert job.last_who
    else:
        assert (job.state, job.token, job.on_hold_reason) == (state, token, held)
        assert job.recheck_due_on
        assert job.deposit_paid_at is None


def test_a_customer_cannot_say_that_the_wheel_bolts_were_checked() -> None:
    job = factories.job(state="handed_over", recheck_due_on=timezone.localdate())
    with pytest.raises(NotAllowedError, match="is for: manager, reviewer, technician"):
        service.recheck(job_id=job.pk, by="customer", note="All tight, I believe.")
    job.refresh_from_db()
    assert job.recheck_due_on == timezone.localdate()


def test_a_recheck_is_written_down_with_what_was_found() -> None:
    job = factories.job(state="handed_over", recheck_due_on=timezone.localdate())
    version = job.version
    with pytest.raises(UnmetError) as refusal:
        service.recheck(job_id=job.pk, by=factories.staff("technician"), note="  ")
    assert refusal.value.field == "why"
    service.recheck(job_id=job.pk, by=factories.staff("reviewer"), note=" All tight at 70 km. ")
    job.refresh_from_db()
    entry = job.history.last()
    assert (entry.action, entry.why, entry.who) == ("job.rechecked", "All tight at 70 km.", "reviewer")
    assert (job.version, job.recheck_due_on) == (version + 1, None)


def test_a_hold_is_written_once_and_lifted_once() -> None:
    job, buyer = factories.job(state="parts_in"), factories.staff("buyer")
    version = job.version
    long = "The grille came broken. " * 20
    assert service.hold(job_id=job.pk, by=buyer, reason=f"  {long}")
    assert not service.hold(job_id=job.pk, by=buyer, reason=long)
    job.refresh_from_db()
    assert job.on_hold_reason == long.strip()
    entry = job.history.last()
    assert (entry.action, entry.why, entry.who) == ("job.held", long.strip(), "buyer")
    assert service.release(job_id=job.pk, by=buyer)
    assert not service.release(job_id=job.pk, by=buyer)
    job.refresh_from_db()
    assert (job.on_hold_reason, job.version, job.state) == ("", version + 2, "parts_in")
    assert job.history.last().action == "job.released"


@pytest.mark.parametrize("state", ["handed_over", "declined", "cancelled"])
def test_a_closed_job_is_not_held_up_any_more(state: str) -> None:
    job = factories.job(state=state)
    with pytest.raises(WrongStateError, match="nothing is held up any more"):
        service.hold(job_id=job.pk, by=factories.staff("buyer"), reason="Parts short.")
    # The system does not complain: it looks at every job that waits for parts.
    assert not service.hold(job_id=job.pk, by="system", reason="Parts short.")
    job.refresh_from_db()
    assert job.on_hold_reason == ""


def test_a_new_link_stops_the_old_one_and_is_mailed() -> None:
    job = factories.job()
    old, expired = job.token, timezone.now() - timedelta(days=1)
    Job.objects.update(token_expires_at=expired)
    service.renew_link(job_id=job.pk, by=factories.staff("reviewer"))
    job.refresh_from_db()
    assert job.token != old
    assert job.token_expires_at > timezone.now()
    promised = OutboxEntry.objects.get(kind="job_mail", payload__template="new_link")
    assert promised.payload == {
        "job_id": job.pk,
        "template": "new_link",
        "occasion": job.history.get(action="job.link_renewed").pk,
    }


def test_who_someone_is() -> None:
    make_roles()
    make_roles()
    assert actor("customer").roles == {"customer"}
    assert actor("system").roles == {"system"}
    with pytest.raises(KeyError):
        actor("reviewer")
    both = factories.staff("buyer", "technician", "florist", name="bo")
    assert actor(both) == Actor("bo", frozenset({"buyer", "technician"}), both)
    assert actor(actor(both)) == actor(both)
    owner = factories.staff(name="owner")
    owner.is_superuser = True
    assert roles_of(owner) == {"manager"}
    gone = factories.staff("manager", name="gone")
    gone.is_active = False
    assert roles_of(gone) == frozenset()


@pytest.mark.parametrize(
    ("roles", "states"),
    [
        ({"reviewer"}, set(State)),
        ({"manager"}, set(State)),
        (
            {"buyer"},
            {"agreed", "deposit_due", "deposit_in", "parts_on_order", "parts_in", "booked", "in_the_bay"},
        ),
        ({"technician"}, {"parts_in", "booked", "in_the_bay", "ready", "handed_over"}),
        ({"customer"}, set()),
        (set(), set()),
    ],
)
def test_who_sees_which_jobs(roles: set[str], states: set[str]) -> None:
    assert visible_states(frozenset(roles)) == states
    job, user, seen = factories.job(), factories.staff(*roles), set()
    for state in State:
        Job.objects.filter(pk=job.pk).update(state=state)
        seen |= set(visible_jobs(user).values_list("state", flat=True))
    assert seen == (states if "customer" not in roles else set())
    assert sees_customer(user) == bool(roles & {"reviewer", "manager"})
