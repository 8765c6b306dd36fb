"""A sent spec becomes one job."""

import pytest
from django.db import transaction

from configurator.builds.signals import spec_sent
from configurator.models import OutboxEntry
from shop.jobs.numbers import next_number
from shop.jobs.opening import open_job
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db


def test_opening_makes_job_operations_history_and_mail() -> None:
    revision = factories.revision()

    job = open_job(revision=revision)

    assert job.state == "sent"
    assert job.customer_agreed_revision == revision
    assert list(job.operations.values_list("key", flat=True)) == [step.key for step in factories.STEPS]
    assert job.operations.get(key="final-check").after == ["front:torque", "lacquer"]
    assert job.operations.get(key="front:torque").torque_nm == 160.0
    assert list(job.history.values_list("who", "action")) == [("customer", "job.opened")]
    assert OutboxEntry.objects.get(kind="job_mail").payload == {
        "job_id": job.pk,
        "template": "confirmation",
        "occasion": job.history.get().pk,
    }


def test_opening_twice_makes_one_job() -> None:
    revision = factories.revision()

    assert open_job(revision=revision) == open_job(revision=revision)
    assert Job.objects.count() == 1
    assert OutboxEntry.objects.filter(kind="job_mail").count() == 1


def test_sending_a_spec_opens_its_job_and_answers_with_an_address() -> None:
    revision = factories.revision()

    answers = [answer for _, answer in spec_sent.send(None, revision=revision, made=True)]

    assert Job.objects.get().spec == revision.spec
    assert any(isinstance(answer, str) and answer.startswith("/") for answer in answers)


def test_numbers_run_on_and_a_failed_transaction_gives_its_number_back() -> None:
    first = next_number("T")
    with transaction.atomic():
        next_number("T")
        transaction.set_rollback(True)
    second = next_number("T")

    assert first.endswith("-0001")
    assert second.endswith("-0002")
    assert next_number("U").endswith("-0001")


@pytest.mark.django_db(transaction=True)
def test_a_number_outside_a_transaction_is_refused() -> None:
    with pytest.raises(RuntimeError, match="inside the transaction"):
        next_number("T")


def test_history_cannot_be_changed_or_removed() -> None:
    entry = factories.job().history.get()

    for harm in (entry.save, entry.delete, lambda: type(entry).objects.all().delete()):
        with pytest.raises(TypeError, match="only ever added to"):
            harm()
    with pytest.raises(TypeError, match="only ever added to"):
        type(entry).objects.update(why="never happened")
