"""Promises: written with the change, kept once, tried again, given up."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from configurator.models import OutboxEntry
from configurator.outbox import service


@pytest.fixture
def calls(monkeypatch):
    """Collect the payloads that a handler of kind ``test`` receives."""
    received: list[dict] = []
    monkeypatch.setitem(service._handlers, "test", received.append)
    return received


@pytest.fixture
def broken(monkeypatch):
    """Register a handler that always fails."""

    def fail(payload):
        raise ValueError("no paper")

    monkeypatch.setitem(service._handlers, "test", fail)


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


@pytest.mark.django_db(transaction=True)
def test_claimed_promise_is_left_to_the_one_who_claimed_it(calls):
    entry = OutboxEntry.objects.create(kind="test", key="a", next_attempt_at=timezone.now())
    assert service._claim(entry.pk) is True
    assert service.keep(entry.pk) is False
    assert calls == []


@pytest.mark.django_db(transaction=True)
def test_sweep_takes_only_what_is_due(calls):
    now = timezone.now()
    OutboxEntry.objects.create(kind="test", key="due", payload={"n": 1}, next_attempt_at=now)
    OutboxEntry.objects.create(kind="test", key="later", next_attempt_at=now + timedelta(hours=1))
    assert service.sweep() == 1
    assert calls == [{"n": 1}]
