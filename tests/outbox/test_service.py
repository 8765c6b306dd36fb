"""Promises: written with the change, kept once, tried again, given up."""

from datetime import timedelta

import pytest
from django.db import connection, transaction
from django.utils import timezone

from configurator.models import OutboxEntry
from configurator.outbox import service
from configurator.outbox.handlers import QUEUES, queue_of
from configurator.outbox.keeping import claim


@pytest.fixture
def calls():
    """Collect the payloads that a handler of kind ``test`` receives."""
    received: list[dict] = []
    service.handles("test")(received.append)
    return received


@pytest.fixture
def broken():
    """Register a handler that always fails; return what it was told of its failures."""
    told: list[tuple[str, bool]] = []

    def fail(payload):
        raise ValueError("no paper")

    service.handles("test", failed=lambda payload, error, given_up: told.append((error, given_up)))(fail)
    return told


@pytest.mark.django_db(transaction=True)
def test_promise_is_kept_after_the_commit_and_not_before(calls):
    with transaction.atomic():
        service.promise(kind="test", key="a", payload={"n": 1})
        assert calls == []
    assert calls == [{"n": 1}]
    assert OutboxEntry.objects.get().state == "done"


@pytest.mark.django_db(transaction=True)
def test_promise_goes_with_a_transaction_that_is_undone(calls):
    def change():
        with transaction.atomic():
            service.promise(kind="test", key="a", payload={})
            raise RuntimeError

    with pytest.raises(RuntimeError):
        change()
    assert calls == []
    assert OutboxEntry.objects.count() == 0


@pytest.mark.django_db(transaction=True)
def test_same_key_is_one_promise(calls):
    for number in (1, 2):
        service.promise(kind="test", key="a", payload={"n": number})
    assert calls == [{"n": 1}]


@pytest.mark.django_db(transaction=True)
def test_kept_promise_is_not_kept_again(calls):
    entry = service.promise(kind="test", key="a", payload={})
    assert service.keep(entry.pk) is False
    assert len(calls) == 1


def _keep_when_due(entry):
    OutboxEntry.objects.filter(pk=entry.pk).update(next_attempt_at=timezone.now())
    service.keep(entry.pk)
    entry.refresh_from_db()


@pytest.mark.django_db(transaction=True)
def test_failure_is_recorded_and_put_off_for_longer_each_time(broken):
    entry = service.promise(kind="test", key="a", payload={})
    delays = []
    for _ in range(2):
        _keep_when_due(entry)
        delays.append(entry.next_attempt_at - timezone.now())
    assert (entry.state, entry.attempts, entry.last_error) == ("waiting", 3, "ValueError: no paper")
    assert delays[1] > delays[0] * 1.9


@pytest.mark.django_db(transaction=True)
def test_promise_is_given_up_after_the_last_attempt(broken):
    entry = service.promise(kind="test", key="a", payload={})
    for _ in range(service.MAX_ATTEMPTS):
        _keep_when_due(entry)
    assert (entry.state, entry.attempts) == ("failed", service.MAX_ATTEMPTS)
    assert broken == [("ValueError: no paper", False)] * 7 + [("ValueError: no paper", True)]


@pytest.mark.django_db(transaction=True)
def test_what_was_given_up_is_tried_again_when_a_person_says_so(calls):
    given_up = {"state": "failed", "attempts": 8, "next_attempt_at": timezone.now()}
    for key in ("a", "b"):
        OutboxEntry.objects.create(kind="test", key=key, payload={"key": key}, **given_up)
    assert service.sweep() == 0
    assert service.try_again(["a"]) == 1
    assert calls == [{"key": "a"}]
    assert service.try_again(["a"]) == 0
    assert service.try_again() == 1
    assert calls == [{"key": "a"}, {"key": "b"}]
    assert set(OutboxEntry.objects.values_list("state", "attempts")) == {("done", 1)}


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("atomic", [True, False])
def test_work_that_talks_to_other_machines_is_done_outside_any_transaction(atomic):
    seen = []
    service.handles("test", atomic=atomic)(lambda _: seen.append(connection.in_atomic_block))
    entry = service.promise(kind="test", key="a", payload={})
    entry.refresh_from_db()
    assert (seen, entry.state) == ([atomic], "done")


@pytest.mark.django_db(transaction=True)
def test_a_promise_that_nobody_keeps_is_put_off_and_not_lost():
    entry = service.promise(kind="unheard of", key="a", payload={})
    entry.refresh_from_db()
    assert (entry.state, entry.attempts) == ("waiting", 1)
    assert entry.last_error.startswith("KeyError")


def test_every_kind_goes_to_a_queue_that_workers_take_from(settings):
    taken = {queue.name for queue in settings.CELERY_TASK_QUEUES}
    assert taken == set(QUEUES)
    assert [queue_of(kind) for kind in ("mail", "photo", "paper", "replan", "unheard of")] == [
        "mail", "photos", "papers", "plans", "celery",
    ]  # fmt: skip


@pytest.mark.django_db(transaction=True)
def test_claimed_promise_is_left_to_the_one_who_claimed_it(calls):
    entry = OutboxEntry.objects.create(kind="test", key="a", next_attempt_at=timezone.now())
    assert claim(entry.pk) is True
    assert service.keep(entry.pk) is False
    assert calls == []


@pytest.mark.django_db(transaction=True)
def test_sweep_takes_only_what_is_due(calls):
    now = timezone.now()
    OutboxEntry.objects.create(kind="test", key="due", payload={"n": 1}, next_attempt_at=now)
    OutboxEntry.objects.create(kind="test", key="later", next_attempt_at=now + timedelta(hours=1))
    assert service.sweep() == 1
    assert calls == [{"n": 1}]
