"""Changes to agreed jobs: nothing done before the yes, and everything following from it."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from configurator.builds import sending
from configurator.builds import service as specs
from configurator.builds.selection import Selection
from configurator.outbox.models import OutboxEntry
from shop.jobs import bench, changes, service
from shop.jobs.answering import agree, refuse, withdraw
from shop.jobs.changes import Wanted, propose
from shop.jobs.entering import Written
from shop.jobs.errors import NotAllowedError, StaleError, UnmetError, WrongStateError
from shop.jobs.states import ORDER, State
from shop.models import Job, JobPart, Proposal
from shop.money.account import account
from shop.money.ledger import book_payment, refresh
from tests.shop import factories

SPEC = json.loads((settings.BASE_DIR / "fixtures" / "specs" / "harbour-van.json").read_text())
RUST = Written("Weld the sill", Decimal("240.00"), hands_on_h=2.0)


@pytest.fixture
def mira(demo_catalogue: Any) -> Any:
    return factories.staff("reviewer", name="mira")


@pytest.fixture
def tom(db: None) -> Any:
    return factories.staff("technician", name="tom")


@pytest.fixture
def job(mira: Any) -> Job:
    """A real build, agreed to by both, at any state a test then sets."""
    selection = Selection.model_validate(SPEC["selection"])
    spec = specs.start_build(generation=selection.generation)
    specs.save_build(spec_id=spec.pk, selection=selection)
    contact = sending.Contact(**SPEC["contact"])
    sent = sending.send_build(spec_id=spec.pk, contact=contact, terms_version="1", terms_text="Terms.")
    return Job.objects.get(spec=sent.revision.spec)


def mailed() -> list[str]:
    """Return the mails that were promised since the job was sent, in order."""
    rows = OutboxEntry.objects.filter(kind="job_mail").order_by("pk")
    return [row.payload["template"] for row in rows if row.payload["template"] != "confirmation"]


def at(job: Job, state: str) -> Job:
    revision = job.revision
    Job.objects.filter(pk=job.pk).update(
        state=state, workshop_agreed_revision=revision, customer_agreed_revision=revision,
        agreed_revision=revision,
    )  # fmt: skip
    job = Job.objects.get(pk=job.pk)
    refresh(job)
    return job


def found(job: Job, by: Any, press: str = "f1", **changes: Any) -> Proposal:
    fields: dict[str, Any] = {"wanted": Wanted(add=(RUST,)), "why": "The sill is rusted through."}
    return propose(job_id=job.pk, by=by, press=press, **(fields | changes))


def without_spacers(job: Job) -> Selection:
    selection = Selection.model_validate(job.revision.selection)
    bare = selection.front.model_copy(update={"spacer": None})
    return selection.model_copy(update={"front": bare, "rear": bare})


@pytest.mark.long
def test_nothing_of_extra_work_is_there_before_the_yes_and_all_of_it_after(job, tom) -> None:
    job = at(job, "in_the_bay")
    before, steps = account(job).price, job.operations.count()
    deposit = account(job).deposit
    proposal = found(job, tom)
    assert mailed() == ["change_proposed"]
    assert (account(job).price, job.operations.count()) == (before, steps)
    assert agree(proposal_id=proposal.pk, by="customer")
    job.refresh_from_db()
    assert account(job).price == before + Decimal("240.00") == job.ledger.price
    assert account(job).deposit == deposit, "in the bay no more is asked for in advance"
    assert job.operations.filter(key="line-1", done_at=None).exists()
    assert job.agreed_revision == job.customer_agreed_revision == job.revision
    assert job.revision.made_by == "tom"
    assert not agree(proposal_id=proposal.pk, by="customer")
    assert job.state == "in_the_bay"


def test_ready_waits_for_the_answer_and_never_for_a_proposal_taken_back(job, tom, mira) -> None:
    job = at(job, "in_the_bay")
    job.operations.update(done_at=job.opened_at)
    proposal = found(job, tom)
    with pytest.raises(UnmetError, match="not answered yet"):
        service.make_ready(job_id=job.pk, by=tom)
    withdraw(proposal_id=proposal.pk, by=tom, why="Only dirt.")
    with pytest.raises(StaleError):
        agree(proposal_id=proposal.pk, by="customer")
    assert not changes.Proposal.objects.filter(state="open").exists()


@pytest.mark.long
def test_a_no_leaves_the_job_as_it_was_and_stands_in_the_inbox(job, tom, mira) -> None:
    job = at(job, "in_the_bay")
    before = job.revision_id
    proposal = found(job, tom)
    assert refuse(proposal_id=proposal.pk, by="customer", words="Too dear.")
    assert not refuse(proposal_id=proposal.pk, by="customer")
    job.refresh_from_db()
    assert job.revision_id == before
    client = Client()
    client.force_login(mira)
    assert "said no" in client.get(reverse("shop:inbox")).content.decode()


@pytest.mark.long
def test_by_telephone_it_is_recorded_who_said_it_and_who_took_it(job, tom, mira) -> None:
    job = at(job, "booked")
    proposal = found(job, tom, tell=False)
    assert mailed() == []
    with pytest.raises(UnmetError):
        agree(proposal_id=proposal.pk, by=mira)
    with pytest.raises(NotAllowedError):
        agree(proposal_id=proposal.pk, by=tom, said_by="Ida")
    assert agree(proposal_id=proposal.pk, by=mira, said_by="Ida Sommer")
    entry = job.history.get(action="change.agreed")
    assert (entry.data["said_by"], entry.data["price_after"]) == ("Ida Sommer", str(account(job).price))
    proposal.refresh_from_db()
    assert (proposal.answered_by, proposal.revision.number) == (mira, 2)


@pytest.mark.long
def test_two_findings_are_answered_each_for_itself(job, tom) -> None:
    job = at(job, "in_the_bay")
    price = account(job).price
    first = found(job, tom)
    second = found(job, tom, press="f2", wanted=Wanted(add=(Written("Seal it", Decimal("30.00")),)))
    refuse(proposal_id=first.pk, by="customer")
    agree(proposal_id=second.pk, by="customer")
    job.refresh_from_db()
    assert account(job).price == price + Decimal("30.00")
    assert list(job.lines.values_list("number", "state")) == [(1, "gone"), (2, "in force")]


@pytest.mark.long
def test_ticks_and_torques_stay_by_key_and_what_was_taken_off_is_put_back_on(job, tom, mira) -> None:
    job = at(job, "in_the_bay")
    torque = job.operations.exclude(torque_nm=None).first()
    for step in job.operations.filter(position__lt=torque.position):
        bench.tick(job_id=job.pk, step_id=step.pk, by=tom, reason="test")
    right = (torque.torque_nm,) * torque.fastener_count
    bench.tick(job_id=job.pk, step_id=torque.pk, by=tom, readings=right, reason="test")
    done = set(job.operations.exclude(done_at=None).values_list("key", flat=True))
    agree(proposal_id=found(job, tom).pk, by="customer")
    assert done == set(job.operations.exclude(done_at=None).values_list("key", flat=True))
    torque.refresh_from_db()
    assert torque.torque_readings == list(right)
    # Now the wheels go: what was done stays done, and the other axle is still to be tightened.
    selection = Selection.model_validate(job.revision.selection)
    bare = selection.front.model_copy(update={"wheel": None, "tyre": None, "spacer": None})
    no_wheels = selection.model_copy(update={"front": bare, "rear": bare})
    job.refresh_from_db()
    agree(proposal_id=found(job, mira, press="f2", wanted=Wanted(selection=no_wheels)).pk, by="customer")
    torques = job.operations.exclude(torque_nm=None)
    assert {step.axle for step in torques} == {"front", "rear"}
    assert torques.get(axle="rear").done_at is None
    assert done <= set(job.operations.values_list("key", flat=True))
    positions = list(job.operations.values_list("position", flat=True))
    assert positions == list(range(1, len(positions) + 1))


@pytest.mark.long
def test_another_torque_opens_the_step_again(job, tom) -> None:
    job = at(job, "in_the_bay")
    step = job.operations.exclude(torque_nm=None).first()
    readings = [step.torque_nm] * step.fastener_count
    job.operations.filter(pk=step.pk).update(done_at=job.opened_at, torque_readings=readings, torque_nm=1.0)
    agree(proposal_id=found(job, tom).pk, by="customer")
    step.refresh_from_db()
    assert (step.done_at, step.torque_readings) == (None, [])
    assert step.name in job.history.get(action="change.agreed").data["again"]


@pytest.mark.long
def test_another_build_after_the_deposit_asks_for_more_and_holds_until_it_is_here(job, mira) -> None:
    job = at(job, "deposit_due")
    book_payment(
        job_id=job.pk,
        amount=account(job).deposit,
        received_on=timezone.localdate(job.opened_at),
        method="cash",
        by=mira,
    )
    job.refresh_from_db()
    assert job.state == "deposit_in"
    dear = Written("Paint the roof", Decimal("2000.00"), kind="painting", hands_on_h=9, resource="booth")
    agree(proposal_id=found(job, mira, wanted=Wanted(add=(dear,))).pk, by="customer")
    job.refresh_from_db()
    more = account(job).outstanding
    assert more > 0
    assert job.hold_id == "more_deposit"
    assert mailed()[-1] == "change_agreed"
    book_payment(
        job_id=job.pk, amount=more, received_on=timezone.localdate(job.opened_at), method="cash", by=mira
    )
    job.refresh_from_db()
    assert (job.is_held, job.state) == (False, "deposit_in")


@pytest.mark.long
def test_parts_that_a_change_adds_are_wanted_and_those_it_drops_are_not(job, mira) -> None:
    job = at(job, "parts_in")
    JobPart.objects.filter(job=job).update(issued=0)
    before = job.parts.filter(dropped=False).count()
    agree(proposal_id=found(job, mira, wanted=Wanted(selection=without_spacers(job))).pk, by="customer")
    job.refresh_from_db()
    assert job.parts.filter(dropped=False).count() < before
    assert job.state == "deposit_in", "what is lacking is to be ordered, whatever the state said"


@pytest.mark.long
def test_a_vehicle_that_was_ready_goes_back_to_the_bay_for_what_was_agreed(job, tom) -> None:
    job = at(job, "ready")
    job.operations.update(done_at=job.opened_at)
    agree(proposal_id=found(job, tom).pk, by="customer")
    job.refresh_from_db()
    assert job.state == "in_the_bay"


@pytest.mark.long
def test_a_change_can_be_proposed_at_every_state_up_to_ready_and_nowhere_else(job, mira) -> None:
    other = Wanted(selection=without_spacers(job))
    for state in ORDER[ORDER.index(State.AGREED) : ORDER.index(State.HANDED_OVER)]:
        job = at(job, state)
        proposal = found(job, mira, press=state, wanted=other)
        assert proposal.is_build
        with pytest.raises(UnmetError, match="already"):
            found(job, mira, press=f"{state}-2", wanted=other)
        withdraw(proposal_id=proposal.pk, by=mira, why="only a try")
    for state in set(State) - set(ORDER[ORDER.index(State.AGREED) : ORDER.index(State.HANDED_OVER)]):
        with pytest.raises(WrongStateError):
            found(at(job, state), mira, press=f"{state}-3")


def test_a_job_that_is_called_off_lets_its_proposals_lapse(job, mira) -> None:
    job = at(job, "booked")
    proposal = found(job, mira)
    service.cancel(job_id=job.pk, by=mira, why="Sold it.")
    proposal.refresh_from_db()
    assert proposal.state == "withdrawn"


def test_with_wheels_off_a_job_is_not_called_off_before_they_are_tight(job, tom, mira) -> None:
    job = at(job, "in_the_bay")
    job.operations.filter(stage="wheels off").update(done_at=job.opened_at)
    with pytest.raises(UnmetError, match="torque"):
        service.cancel(job_id=job.pk, by=mira, why="Sold it.")
    job.operations.exclude(torque_nm=None).update(done_at=job.opened_at)
    assert service.cancel(job_id=job.pk, by=mira, why="Sold it.")


@pytest.mark.long
def test_the_customers_page_asks_with_price_and_takes_the_answer_once(job, tom) -> None:
    job = at(job, "in_the_bay")
    proposal = found(job, tom)
    client, address = Client(), reverse("tracking:job", args=[job.token])
    page = client.get(address).content.decode()
    assert "The sill is rusted through." in page
    assert "240" in page
    where = reverse("tracking:change", args=[job.token, proposal.number])
    words = {"total": "1.00", "words": "Only if it is done by Friday."}
    stale = client.post(where, {"answer": "yes", **words}, follow=True).content.decode()
    assert "Only if it is done by Friday.</textarea>" in stale, "what was written waits as a message"
    assert "has changed" in stale
    job.refresh_from_db()
    assert job.revision.number == 1
    total = changes.offer_of(Proposal.objects.get()).price.total
    client.post(where, {"answer": "yes", "total": str(total)})
    client.post(where, {"answer": "yes", "total": str(total)})
    job.refresh_from_db()
    assert (job.revision.number, account(job).price) == (2, total)
    assert job.history.get(action="tracking.consent_given").data["total"] == str(total)
