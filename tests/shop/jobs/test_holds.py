"""What stands in a move's way, as whoever asks is told it: each condition from not met to met."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.jobs import holds, service
from shop.jobs.actions import offered
from shop.jobs.errors import NotAllowedError, StaleError, UnmetError
from shop.jobs.measuring import measure
from shop.jobs.models_lines import Proposal
from shop.jobs.moving import check_version, move
from shop.jobs.roles import THE_CUSTOMER, THE_SYSTEM, Actor, actor, roles_of
from shop.jobs.said import say
from shop.jobs.signals import job_moved
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db
UNSURE = factories.fit_row(verdict="measure", value=3.5, margin=0.5)


def test_both_must_have_agreed_to_the_very_revision() -> None:
    job = factories.job()
    job.customer_agreed_revision = job.workshop_agreed_revision = None
    assert holds.both_agreed(job) == "The workshop has not agreed to revision 1."
    job.workshop_agreed_revision = job.revision
    assert holds.both_agreed(job) == "The customer has not agreed to revision 1."
    job.customer_agreed_revision = job.revision
    assert holds.both_agreed(job) == ""
    job.revision = factories.revision(spec=job.spec)
    assert holds.both_agreed(job) == "The workshop has not agreed to revision 2."


def test_parts_are_named_that_are_neither_here_nor_on_order() -> None:
    found = factories.evaluation(parts=(factories.part(), factories.part("b", name="Wheel B")))
    job = factories.job(found, state="deposit_in")
    assert holds.parts_complete(job) == "Still missing: 4 × Wheel A 8 x 18; 4 × Wheel B."
    assert holds.parts_ordered(job) == "Not on order yet: 4 × Wheel A 8 x 18; 4 × Wheel B."
    for part in job.parts.all():
        part.issued = part.quantity
        part.save()
    assert (holds.parts_complete(job), holds.parts_ordered(job)) == ("", "")


def test_every_step_that_is_not_done_needs_a_time() -> None:
    job = factories.job()
    assert holds.planned(job) == "5 steps have no time in the plan yet."
    job.operations.filter(key="lacquer").update(done_at=timezone.now())
    job.operations.exclude(key__in=("lacquer", "book-in")).update(planned_start=timezone.now())
    assert holds.planned(job) == "1 steps have no time in the plan yet."
    job.operations.update(planned_start=timezone.now())
    assert holds.planned(job) == ""


def test_a_hold_is_told_with_its_reason() -> None:
    job = factories.job(state="booked")
    assert holds.not_on_hold(job) == ""
    service.hold(job_id=job.pk, by="system", said=say("deposit_gone", lines=[say("bounced")]))
    job.refresh_from_db()
    assert holds.not_on_hold(job) == "On hold: Deposit gone: the payment bounced"


def test_the_first_three_steps_that_are_not_done_are_named() -> None:
    job = factories.job(state="in_the_bay")
    assert holds.work_done(job) == "Not done yet: Book in, Wheels off, Lacquer and 2 more."
    now = timezone.now()
    job.operations.filter(key="book-in").update(done_at=now, is_skipped=True)
    assert holds.work_done(job) == "Not done yet: Wheels off, Lacquer, Front:torque and 1 more."
    job.operations.filter(key="lacquer").update(done_at=now)
    assert holds.work_done(job) == "Not done yet: Wheels off, Front:torque, Final check."
    job.operations.update(done_at=now)
    assert holds.work_done(job) == ""


def test_what_had_to_be_measured_must_fit() -> None:
    rows = (UNSURE, factories.fit_row(id="seat", verdict="measure", value=3.5, margin=0.5, axle="rear"))
    job = factories.job(factories.evaluation(*rows), state="in_the_bay")
    technician = factories.staff("technician")
    assert holds.measured(job) == "Room for the brake, front: still has to be measured."
    key = {"job_id": job.pk, "by": technician, "uncertainty": 0.1}
    measure(**key, axle="front", check_id="brake_clearance", value=1.0)
    assert holds.measured(job) == "Room for the brake, front: does not fit as measured."
    measure(**key, axle="front", check_id="brake_clearance", value=9.0)
    assert holds.measured(job).endswith(", rear: still has to be measured.")
    measure(**key, axle="rear", check_id="seat", value=9.0)
    assert holds.measured(job) == ""


def test_a_no_stands_by_calculation_and_as_measured() -> None:
    refused = factories.job(factories.evaluation(factories.fit_row(verdict="no", margin=-1.0)))
    assert holds.nothing_says_no(refused) == "A fit check says no. Change the build or decline it."
    job = factories.job(factories.evaluation(UNSURE), state="in_review")
    assert holds.nothing_says_no(job) == ""
    reviewer = factories.staff("reviewer")
    measure(job_id=job.pk, axle="front", check_id="brake_clearance", value=1.0, uncertainty=0.1, by=reviewer)
    assert holds.nothing_says_no(job) != ""


def test_open_questions_to_the_customer_are_named() -> None:
    job = factories.job(state="in_the_bay")
    for number, (state, why) in enumerate(
        [("open", "Rusty bolts."), ("refused", "A wash."), ("open", "New pads.")], start=1
    ):
        Proposal.objects.create(job=job, number=number, state=state, why=why, press=f"p{number}")
    assert holds.nothing_asked(job) == "The customer has not answered yet: Rusty bolts.; New pads."
    job.proposals.update(state="agreed")
    assert holds.nothing_asked(job) == ""


def test_wheels_that_were_off_are_tightened_before_the_vehicle_leaves() -> None:
    job = factories.job(state="in_the_bay")
    steps, now = job.operations, timezone.now()
    assert holds.wheels_tight(job) == ""
    steps.filter(key="wheels-off").update(done_at=now, is_skipped=True)
    assert holds.wheels_tight(job) == ""
    steps.filter(key="wheels-off").update(is_skipped=False)
    assert holds.wheels_tight(job) == "The wheels are off. Tighten them to torque first."
    steps.filter(key="front:torque").update(done_at=now)
    assert holds.wheels_tight(job) == ""


# Moving.


def test_a_move_is_kept_whole_and_told_to_every_room() -> None:
    job = factories.job(state="parts_in")
    version, since = job.version, job.state_since
    reviewer = factories.staff("reviewer", name="mira")
    start = timezone.now() + timedelta(days=3)
    heard: list[tuple[object, ...]] = []

    def hear(sender: object, job: Job, source: str, to: str, entry: object, **kwargs: object) -> None:
        heard.append((job.pk, source, to, entry))

    job.operations.update(planned_start=start)
    job_moved.connect(hear)
    try:
        done = move(
            job_id=job.pk, to="booked", by=reviewer, why=" the lift is free ", version=version,
            mail="booked", data={"also": 1}, changes={"booked_start": start},
        )  # fmt: skip
    finally:
        job_moved.disconnect(hear)
    assert done
    job.refresh_from_db()
    entry = job.history.last()
    assert (job.state, job.version, job.booked_start) == ("booked", version + 1, start)
    assert job.state_since > since
    assert (job.last_who, job.last_action) == ("mira", "job.booked")
    assert (entry.who, entry.user, entry.why, entry.data) == (
        "mira",
        reviewer,
        "the lift is free",
        {"also": 1},
    )
    assert (entry.action, entry.from_state, entry.to_state) == ("job.booked", "parts_in", "booked")
    assert heard == [(job.pk, "parts_in", "booked", entry)]
    mail = OutboxEntry.objects.get(kind="job_mail", payload__template="booked")
    assert mail.payload == {"job_id": job.pk, "template": "booked", "occasion": entry.pk}
    # There already: nothing happens again, and a page that is old by now is not told off for it.
    assert not move(job_id=job.pk, to="booked", by=reviewer, version=version)
    assert job.history.last() == entry


def test_what_agreeing_and_looking_again_do_to_the_offer() -> None:
    job = factories.job(state="waiting")
    job.workshop_agreed_revision = job.customer_agreed_revision = job.revision
    job.save()
    assert move(job_id=job.pk, to="in_review", by="customer")
    job.refresh_from_db()
    assert (job.workshop_agreed_revision, job.customer_agreed_revision) == (None, job.revision)
    assert job.agreed_revision is None
    Job.objects.filter(pk=job.pk).update(workshop_agreed_revision=job.revision)
    assert move(job_id=job.pk, to="agreed", by=factories.staff("reviewer"))
    job.refresh_from_db()
    assert (job.agreed_revision, job.workshop_agreed_revision) == (job.revision, job.revision)


def test_a_reason_is_typed_or_said_by_the_program() -> None:
    job = factories.job()
    manager = factories.staff("manager")
    for why in ("", "  "):
        with pytest.raises(UnmetError, match=r"^Give a reason\.$") as refusal:
            move(job_id=job.pk, to="declined", by=manager, why=why)
        assert refusal.value.field == "why"
    assert move(job_id=job.pk, to="declined", by=manager, data={"said": say("bounced")})
    assert job.history.last().data == {"said": {"id": "bounced", "figures": {}}}


def test_who_may_never_is_told_before_anything_else() -> None:
    job = factories.job()
    with pytest.raises(NotAllowedError, match=r"^Moving a job to “ready” is for: manager, technician\.$"):
        move(job_id=job.pk, to="ready", by="customer")
    # A customer may come back into review, but not from here.
    with pytest.raises(
        NotAllowedError, match=r"^Moving a job from “sent” to “in review” is for: manager, reviewer\.$"
    ):
        move(job_id=job.pk, to="in_review", by="customer")


def test_a_page_that_is_old_is_told_what_happened_meanwhile() -> None:
    job = factories.job()
    check_version(job, None)
    check_version(job, job.version)
    service.take_into_review(job_id=job.pk, by=factories.staff("reviewer", name="mira"))
    job.refresh_from_db()
    with pytest.raises(StaleError) as refusal:
        check_version(job, job.version - 1)
    begin = f"{job.number} has changed since you opened this page: "
    assert str(refusal.value) == f"{begin}taken into review (mira). Look again, then decide."
    sent = factories.revision()
    bare = Job.objects.create(number="K-9", spec=sent.spec, revision=sent, version=3)
    with pytest.raises(StaleError, match=r"^K-9 .*: someone changed it\."):
        check_version(bare, 2)


# Who acts, and what they are offered.


def test_who_acts_is_a_member_of_staff_the_customer_or_the_system() -> None:
    user = factories.staff("buyer", "technician", name="kim")
    user.groups.create(name="somebody else's group")
    assert actor(user) == Actor("kim", frozenset({"buyer", "technician"}), user)
    assert (actor("customer"), actor("system")) == (THE_CUSTOMER, THE_SYSTEM)
    assert actor(THE_SYSTEM) is THE_SYSTEM
    with pytest.raises(KeyError):
        actor("kim")
    boss = factories.staff("buyer", name="boss")
    boss.is_superuser = True
    assert roles_of(boss) == {"buyer", "manager"}
    gone = factories.staff("manager", name="gone")
    gone.is_active = False
    assert roles_of(gone) == frozenset()


def test_each_is_offered_what_they_may_do_now() -> None:
    job = factories.job()

    def names(state: str, *roles: str) -> set[str]:
        job.state = state
        return {each.action.name for each in offered(job, frozenset(roles))}

    anyone, closing = {"hold"}, {"decline", "cancel"}
    assert names("sent", "reviewer") == {"take", "renew-link"} | anyone | closing
    assert names("sent", "technician") == anyone
    assert names("sent", "customer") == {"cancel"}
    assert names("waiting", "reviewer") == {"back", "renew-link"} | anyone | closing
    assert names("agreed", "reviewer") == {"reopen", "renew-link"} | anyone | closing
    assert names("ready", "technician") == {"back-to-bay"} | anyone
    assert names("ready", "reviewer") == {"back-to-bay", "hand-over", "renew-link"} | anyone
    job.on_hold_reason = "The vehicle is late."
    assert names("in_review", "reviewer") == {"confirm", "ask", "release", "renew-link"} | closing
    assert names("handed_over", "reviewer", "technician") == set()
    job.recheck_due_on = timezone.localdate()
    assert names("handed_over", "technician") == {"recheck"}
    assert names("handed_over", "buyer") == set()


def test_a_button_says_what_stands_in_its_way_and_what_it_warns_of() -> None:
    job = factories.job(state="booked", on_hold_reason="The vehicle is late.")
    start = {each.action.name: each for each in offered(job, frozenset({"technician"}))}["start"]
    assert (start.obstacle, start.warning) == ("On hold: The vehicle is late.", "")
    # Confirming says for itself what is lacking, and there may be nothing yet.
    review = factories.job(state="in_review")
    confirm = {each.action.name: each for each in offered(review, frozenset({"reviewer"}))}["confirm"]
    assert confirm.obstacle == ""
    ready = factories.job(state="ready")
    hand = {each.action.name: each for each in offered(ready, frozenset({"reviewer"}))}["hand-over"]
    assert hand.obstacle == ""
    assert f"{Decimal('1190.00'):,}" in hand.warning
    with pytest.raises(UnmetError) as refusal:
        service.hand_over(job_id=ready.pk, by=factories.staff("reviewer"), why=" ")
    assert str(refusal.value) == f"{hand.warning} Give a reason to hand over all the same."
