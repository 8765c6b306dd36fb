"""Jobs that staff enter: a walk-in is a job like any other, from the desk to the visit after the handover."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from configurator.builds.sending import Contact
from shop.jobs import agreement, desk, service
from shop.jobs.entering import NewJob, Written, change_lines, enter_job
from shop.jobs.errors import NotAllowedError, UnmetError, WrongStateError
from shop.jobs.followups import follow_up
from shop.models import Job, OutgoingMail
from shop.money.account import account
from tests.shop import factories

IDA = Contact(name="Ida Sommer", email="ida@customer.example", phone="0171 39200 23", registration="XB-AB 12")
WELD = Written("Weld the step", Decimal("120.00"), hands_on_h=1.5)


@pytest.fixture
def mira(demo_catalogue: Any) -> Any:
    return factories.staff("reviewer", name="mira")


@pytest.fixture
def committed(django_capture_on_commit_callbacks: Any) -> Any:
    """Do within it what follows a commit."""
    return lambda: django_capture_on_commit_callbacks(execute=True)


def walk_in(mira: Any, press: str = "p1", **changes: Any) -> Job:
    fields: dict[str, Any] = {
        "contact": IDA,
        "lines": (WELD,),
        "vehicle": "Old tractor",
        "deposit": Decimal(0),
    }
    return enter_job(new=NewJob(**(fields | changes)), by=mira, press=press)


def test_a_walk_in_has_steps_price_request_ledger_words_and_mail(mira, committed) -> None:
    with committed():
        job = walk_in(mira)
    assert (job.state, job.revision.made_by, job.entry.vehicle) == ("in_review", "mira", "Old tractor")
    assert account(job).price == Decimal("120.00")
    assert job.ledger.price == Decimal("120.00")
    assert [step.name for step in job.operations.filter(key__startswith="line-")] == ["Weld the step"]
    assert "weldthestep" in job.words.text
    assert "oldtractor" in job.words.text
    assert OutgoingMail.objects.get().kind == "entered"
    assert job.history.last().action == "job.entered_by_hand"


def test_entering_twice_enters_once_and_only_the_desk_does(mira) -> None:
    assert walk_in(mira) == walk_in(mira)
    assert Job.objects.count() == 1
    with pytest.raises(NotAllowedError):
        walk_in(factories.staff("technician"), press="p2")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"lines": ()}, "label"),
        ({"vehicle": " "}, "vehicle"),
        ({"generation": "no-such"}, "generation"),
        ({"contact": Contact(name=" ", email="")}, "name"),
        ({"lines": (Written("x", Decimal(-1)),)}, "amount"),
        ({"lines": (Written("Brakes", Decimal(1), wheels=(("front", 0.0, 5),)),)}, "torque_nm"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_nothing_is_stored(mira, changes, field) -> None:
    with pytest.raises(UnmetError) as refused:
        walk_in(mira, **changes)
    assert refused.value.field == field
    assert not Job.objects.exists()


@pytest.mark.long
def test_without_a_deposit_the_yes_leads_to_parts_in_and_no_mail_asks_for_money(mira, committed) -> None:
    with committed():
        job = walk_in(mira, customer_asked=True)
    with committed():
        agreement.agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=mira)
    job.refresh_from_db()
    assert job.state == "parts_in"
    assert set(OutgoingMail.objects.values_list("kind", flat=True)) == {"entered"}


@pytest.mark.long
def test_without_an_address_nothing_is_mailed_and_the_yes_comes_by_telephone(mira, committed) -> None:
    job = walk_in(mira, contact=Contact(name="Ida Sommer", email=""))
    with committed():
        agreement.agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=mira)
    with committed():
        desk.agree_by_telephone(job_id=job.pk, revision_id=job.revision_id, by=mira, said_by="Ida Sommer")
    job.refresh_from_db()
    assert job.state == "parts_in"
    assert not OutgoingMail.objects.exists()


def test_lines_are_changed_in_review_as_a_new_revision(mira) -> None:
    job = walk_in(mira)
    dip = Written(
        "Dip the hooks", Decimal("60.00"), kind="dipping", hands_on_h=0.5, wait_h=24, resource="booth"
    )
    assert change_lines(job_id=job.pk, add=(dip,), drop=(1,), by=mira, why="He wants the hooks instead.")
    job.refresh_from_db()
    assert (job.revision.number, account(job).price) == (2, Decimal("60.00"))
    assert [step.key for step in job.operations.filter(key__startswith="line-")] == ["line-2"]
    assert not change_lines(job_id=job.pk, add=(), drop=(1,), by=mira, why="again")
    with pytest.raises(UnmetError, match="Call it off"):
        change_lines(job_id=job.pk, add=(), drop=(2,), by=mira, why="Nothing after all.")
    job.refresh_from_db()
    assert job.lines.get(number=2).state == "in force", "a refused change undoes what it began"


def handed_over(mira: Any, **changes: Any) -> Job:
    job = walk_in(mira, **changes)
    Job.objects.filter(pk=job.pk).update(state="ready")
    service.hand_over(job_id=job.pk, by=mira, why="pays tomorrow")
    return Job.objects.get(pk=job.pk)


@pytest.mark.long
def test_a_visit_points_back_has_its_own_steps_and_no_deposit(mira, committed) -> None:
    first = handed_over(mira)
    again = Written("Weld it once more", Decimal(0), hands_on_h=1.0)
    visit = follow_up(
        job_id=first.pk, kind="warranty", notes="It came off.", lines=(again,), by=mira, press="v1"
    )
    assert (visit.entry.follows, visit.revision.notes) == (first, "It came off.")
    assert account(visit).price == 0
    assert account(visit).deposit == 0
    assert visit.customer_agreed_revision_id == visit.revision_id
    assert visit.operations.filter(name="Weld it once more").exists()
    assert first.history.last().data["by_job"] == visit.number
    with committed():
        agreement.agree_as_workshop(job_id=visit.pk, revision_id=visit.revision_id, by=mira)
    visit.refresh_from_db()
    assert visit.state == "parts_in"


def test_a_visit_that_costs_needs_the_customers_yes(mira) -> None:
    first = handed_over(mira)
    lines = (Written("New hinge", Decimal("40.00"), hands_on_h=0.5),)
    visit = follow_up(job_id=first.pk, kind="complaint", notes="Bent.", lines=lines, by=mira, press="v1")
    assert visit.customer_agreed_revision is None


def test_a_visit_follows_only_from_what_is_handed_over(mira) -> None:
    job = walk_in(mira)
    with pytest.raises(WrongStateError):
        follow_up(job_id=job.pk, kind="warranty", notes="x", lines=(WELD,), by=mira, press="v1")
