"""Who agrees to what: always one exact revision, always both sides, once."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from configurator.builds.evaluation import Evaluation
from configurator.models import OutboxEntry
from shop.jobs import service
from shop.jobs.agreement import agree_as_customer, agree_as_workshop, answer_as_customer, ask_customer
from shop.jobs.errors import NotAllowedError, StaleError, UnmetError, WrongStateError
from shop.jobs.evaluations import evaluation_of
from shop.jobs.measuring import measure
from shop.jobs.settled import to_measure
from shop.messages.hooks import is_offer
from shop.models import Job
from shop.money.service import book_payment, make_deposit_request
from tests.shop import factories
from tests.shop.tracking.conftest import amended, offered

pytestmark = pytest.mark.django_db


@pytest.fixture
def reviewer():
    return factories.staff("reviewer", name="mira")


def in_review(reviewer, found: Evaluation | None = None) -> Job:
    job = factories.job(found)
    service.take_into_review(job_id=job.pk, by=reviewer)
    job.refresh_from_db()
    return job


def mails(job: Job) -> list[str]:
    entries = OutboxEntry.objects.filter(kind="job_mail", payload__job_id=job.pk).order_by("pk")
    return [entry.payload["template"] for entry in entries]


def test_an_unchanged_spec_confirmed_is_agreed_and_the_deposit_is_asked_for(reviewer) -> None:
    job = in_review(reviewer)

    assert agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer)

    job.refresh_from_db()
    assert job.state == "deposit_due"
    assert job.agreed_revision == job.workshop_agreed_revision == job.customer_agreed_revision == job.revision
    actions = list(job.history.values_list("action", "who"))
    assert actions[-3:] == [
        ("job.workshop_agreed", "mira"),
        ("job.agreed", "mira"),
        ("job.deposit_asked", "system"),
    ]
    assert mails(job)[0] == "confirmation"
    assert mails(job).count("deposit_request") == 1


def test_confirming_twice_confirms_once(reviewer) -> None:
    job = in_review(reviewer)
    assert agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer)
    before = job.history.count()

    assert not agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer, version=1)
    assert job.history.count() == before


def test_a_new_revision_goes_to_the_customer_first(reviewer) -> None:
    job = in_review(reviewer)
    second = factories.revision(spec=job.spec, made_by="mira", why="Shorter spacers.")
    Job.objects.filter(pk=job.pk).update(revision=second)

    agree_as_workshop(job_id=job.pk, revision_id=second.pk, by=reviewer)
    job.refresh_from_db()
    assert (job.state, job.agreed_revision) == ("waiting", None)
    assert mails(job)[-1] == "offer"

    with pytest.raises(StaleError):
        agree_as_customer(job_id=job.pk, revision_id=job.spec.revisions.earliest("number").pk)
    assert agree_as_customer(job_id=job.pk, revision_id=second.pk)
    assert not agree_as_customer(job_id=job.pk, revision_id=second.pk)
    job.refresh_from_db()
    assert (job.state, job.agreed_revision) == ("deposit_due", second)


def test_a_question_is_answered_and_the_job_comes_back(reviewer) -> None:
    job = in_review(reviewer)
    with pytest.raises(UnmetError):
        ask_customer(job_id=job.pk, by=reviewer, question=" ")
    ask_customer(job_id=job.pk, by=reviewer, question="Is the tow bar still on?")
    with pytest.raises(UnmetError):
        answer_as_customer(job_id=job.pk, answer="")
    assert answer_as_customer(job_id=job.pk, answer="No.")
    job.refresh_from_db()
    assert job.state == "in_review"
    assert job.history.last().why == "No."


def test_the_customer_cannot_agree_when_nothing_is_offered() -> None:
    job = factories.job()
    Job.objects.filter(pk=job.pk).update(customer_agreed_revision=None)
    with pytest.raises(WrongStateError):
        agree_as_customer(job_id=job.pk, revision_id=job.revision_id)


def test_confirming_an_older_revision_is_refused(reviewer) -> None:
    job = in_review(reviewer)
    first = job.revision_id
    Job.objects.filter(pk=job.pk).update(revision=factories.revision(spec=job.spec))
    with pytest.raises(StaleError, match="newer"):
        agree_as_workshop(job_id=job.pk, revision_id=first, by=reviewer)


def test_a_page_opened_before_somebody_else_acted_is_told_so(reviewer) -> None:
    job = factories.job()
    seen = job.version
    service.take_into_review(job_id=job.pk, by=reviewer)
    other = factories.staff("reviewer", name="jonas")
    with pytest.raises(StaleError, match=r"taken into review \(mira\)"):
        service.decline(job_id=job.pk, by=other, why="No room.", version=seen)
    with pytest.raises(StaleError):
        agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=other, version=seen)


@pytest.mark.parametrize("role", ["buyer", "technician"])
def test_only_reviewers_and_managers_confirm(reviewer, role: str) -> None:
    job = in_review(reviewer)
    with pytest.raises(NotAllowedError):
        agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=factories.staff(role))


def test_open_measurements_need_a_word_and_a_no_stands_against_it(reviewer) -> None:
    unsure = factories.evaluation(factories.fit_row(verdict="measure", value=3.5, margin=0.5))
    job = in_review(reviewer, unsure)
    with pytest.raises(UnmetError, match="not measured yet") as caught:
        agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer)
    assert caught.value.field == "why"
    assert agree_as_workshop(
        job_id=job.pk, revision_id=job.revision_id, by=reviewer, why="If it measures 3 mm."
    )

    other = in_review(reviewer, factories.evaluation(factories.fit_row(verdict="no", margin=-1.0)))
    with pytest.raises(UnmetError, match="says no"):
        agree_as_workshop(job_id=other.pk, revision_id=other.revision_id, by=reviewer, why="Anyway.")


def test_reopening_lets_both_agreements_lapse(reviewer) -> None:
    job = in_review(reviewer)
    agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer)
    assert service.reopen(job_id=job.pk, by=reviewer, why="The customer wants another colour.")
    job.refresh_from_db()
    assert job.state == "in_review"
    assert job.agreed_revision is None
    assert job.customer_agreed_revision is None


def test_money_that_comes_early_is_noted_and_counts_later(reviewer) -> None:
    job = in_review(reviewer)
    asked = make_deposit_request(job=job, evaluation=evaluation_of(job.revision))
    pay = {"job_id": job.pk, "received_on": timezone.localdate(), "method": "cash", "by": reviewer}
    book_payment(amount=asked.amount - 1, **pay)
    job.refresh_from_db()
    assert job.deposit_paid_at is None
    book_payment(amount=Decimal(1), **pay)
    job.refresh_from_db()
    assert (job.state, job.deposit_paid_at is None) == ("in_review", False)
    assert not service.deposit_received(job_id=job.pk, by="system")
    agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer)
    job.refresh_from_db()
    assert job.state == "deposit_in"
    assert not service.deposit_received(job_id=job.pk, by="system")


def test_a_hold_stops_booking_and_work_until_it_is_lifted(reviewer) -> None:
    job = factories.job(state="booked")
    technician = factories.staff("technician")
    assert service.hold(job_id=job.pk, by="system", reason="Lug missing")
    assert not service.hold(job_id=job.pk, by="system", reason="Lug missing")
    with pytest.raises(UnmetError, match="Lug missing"):
        service.start_work(job_id=job.pk, by=technician)
    with pytest.raises(NotAllowedError):
        service.release(job_id=job.pk, by="customer")
    assert service.release(job_id=job.pk, by=reviewer)
    assert service.start_work(job_id=job.pk, by=technician)


def test_a_renewed_link_replaces_the_old_one(reviewer) -> None:
    job = factories.job()
    old = job.token
    assert service.renew_link(job_id=job.pk, by=reviewer)
    job.refresh_from_db()
    assert job.token != old
    assert job.link_is_live
    with pytest.raises(NotAllowedError):
        service.renew_link(job_id=job.pk, by=factories.staff("buyer"))


def test_handing_over_sets_the_recheck_and_recording_it_ends_it(reviewer) -> None:
    job = factories.job(state="ready")
    service.hand_over(job_id=job.pk, by=reviewer, why="pays by the end of the week")
    job.refresh_from_db()
    assert (job.recheck_due_on - timezone.localdate(job.handed_over_at)).days in (6, 7, 8)
    with pytest.raises(UnmetError):
        service.recheck(job_id=job.pk, by=reviewer, note="")
    assert service.recheck(job_id=job.pk, by=reviewer, note="All tight at 70 km.")
    assert not service.recheck(job_id=job.pk, by=reviewer, note="Again.")


def test_an_offer_that_is_looked_at_again_can_no_longer_be_accepted(reviewer) -> None:
    job = offered(reviewer)
    withdrawn = job.revision_id
    service.take_into_review(job_id=job.pk, by=reviewer)
    ask_customer(job_id=job.pk, by=reviewer, question="Would silver do as well?")
    job.refresh_from_db()
    assert not is_offer(job)
    assert agree_as_customer(job_id=job.pk, revision_id=withdrawn)
    job.refresh_from_db()
    assert (job.state, job.agreed_revision) == ("in_review", None)


def test_a_check_measured_no_holds_the_customers_yes_too(reviewer) -> None:
    job = in_review(reviewer, factories.evaluation(factories.fit_row(verdict="measure", margin=1.0)))
    newer = amended(job, factories.evaluation(factories.fit_row(verdict="measure", margin=1.0)))
    agree_as_workshop(job_id=job.pk, revision_id=newer.pk, by=reviewer, why="if it measures well")
    row = to_measure(Job.objects.get(pk=job.pk))[0].row
    below = float(row.limit) - 5 if row.limit is not None else -5.0
    measure(job_id=job.pk, axle=row.axle, check_id=row.id, value=below, uncertainty=0.1, by=reviewer)
    with pytest.raises(UnmetError, match="says no"):
        agree_as_customer(job_id=job.pk, revision_id=newer.pk)
    job.refresh_from_db()
    assert (job.state, job.customer_agreed_revision_id == newer.pk) == ("waiting", False)


@pytest.mark.parametrize("state", ["handed_over", "declined", "cancelled"])
def test_nothing_holds_up_what_is_over(reviewer, state: str) -> None:
    job = factories.job(state=state)
    assert service.hold(job_id=job.pk, by="system", reason="Parts short") is False
    with pytest.raises(WrongStateError):
        service.hold(job_id=job.pk, by=reviewer, reason="Lug missing")
    job.refresh_from_db()
    assert not job.is_held


def test_each_yes_is_written_down_with_its_revision(reviewer) -> None:
    job = in_review(reviewer)
    agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer, why=" As it is. ")
    told = {entry.action: (entry.who, entry.why, entry.data) for entry in job.history.all()}
    assert told["job.workshop_agreed"] == ("mira", "As it is.", {"revision": 1})
    assert told["job.agreed"] == ("mira", "", {"revision": 1})

    other = offered(reviewer)
    asked = other.history.filter(to_state="waiting").get()
    assert (asked.who, asked.why) == ("mira", "The grille is not made any more.")
    assert asked.data == {"said": {"id": "please_look", "figures": {"revision": 2}}}
    assert agree_as_customer(job_id=other.pk, revision_id=other.revision_id)
    told = {entry.action: (entry.who, entry.data) for entry in other.history.all()}
    assert told["job.customer_agreed"] == ("customer", {"revision": 2})
    assert told["job.agreed"] == ("customer", {"revision": 2})


def test_what_cannot_be_agreed_to_is_said_as_it_is(reviewer) -> None:
    job = factories.job()
    agree = {"job_id": job.pk, "by": reviewer}
    with pytest.raises(WrongStateError) as refusal:
        agree_as_workshop(**agree, revision_id=job.revision_id)
    assert str(refusal.value) == f"{job.number} is “sent”; take it into review first."
    service.take_into_review(**agree)
    first = job.revision_id
    amended(job, factories.evaluation())
    Job.objects.filter(pk=job.pk).update(state="in_review")
    with pytest.raises(StaleError, match=r"^Revision 2 is newer than the one you looked at\."):
        agree_as_workshop(**agree, revision_id=first)
    Job.objects.filter(pk=job.pk).update(state="waiting")
    with pytest.raises(StaleError, match=r"^The workshop has changed the build since you opened"):
        agree_as_customer(job_id=job.pk, revision_id=first)
    Job.objects.filter(pk=job.pk).update(state="in_review", customer_agreed_revision=None)
    with pytest.raises(WrongStateError, match=r"^There is nothing to agree to at the moment\.$"):
        agree_as_customer(job_id=job.pk, revision_id=first)
    with pytest.raises(UnmetError, match=r"^Write an answer\.$") as unmet:
        answer_as_customer(job_id=job.pk, answer=" ")
    assert unmet.value.field == "answer"


def test_a_condition_is_asked_for_with_how_much_is_open(reviewer) -> None:
    open_row = {"verdict": "measure", "value": 3.5, "margin": 0.5}
    rows = (factories.fit_row(id=key, **open_row) for key in ("seat", "brake_clearance"))
    job = in_review(reviewer, factories.evaluation(*rows))
    with pytest.raises(UnmetError, match=r"^2 fit checks are not measured yet\.") as refusal:
        agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer, why=" ")
    assert refusal.value.field == "why"
    technician = factories.staff("technician")
    measure(job_id=job.pk, axle="front", check_id="seat", value=9.0, uncertainty=0.1, by=technician)
    with pytest.raises(UnmetError, match=r"^1 fit checks are not measured yet\."):
        agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer)
