"""What monitors read: the process lives, it can work, and figures for who may have them."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.site import health

pytestmark = pytest.mark.django_db


def promise(minutes_due: int, **changes: object) -> OutboxEntry:
    due = timezone.now() - timedelta(minutes=minutes_due)
    found = {"kind": "paper", "key": f"paper:{minutes_due}", "next_attempt_at": due} | changes
    return OutboxEntry.objects.create(**found)


def test_a_living_process_answers_without_asking_the_database(
    client: Client, django_assert_num_queries
) -> None:
    with django_assert_num_queries(0):
        assert client.get("/healthz").json() == {"alive": True}


def test_ready_when_database_cache_and_work_are_in_order(client: Client) -> None:
    promise(5)
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (200, {"ready": True, "wrong": {}})


def test_not_ready_while_work_is_due_that_nobody_does(client: Client) -> None:
    promise(40)
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer.json() == {"ready": False, "wrong": {"promises": "work has been due for 40 minutes"}}


def test_a_failing_check_is_named_without_its_message(client: Client, monkeypatch) -> None:
    def refused() -> str:
        raise ConnectionRefusedError("redis://:secret@cache")

    monkeypatch.setitem(health.CHECKS, "cache", refused)
    assert client.get("/readyz").json()["wrong"] == {"cache": "ConnectionRefusedError"}


def test_figures_only_for_who_knows_the_token(client: Client, settings) -> None:
    promise(3)
    promise(2, state="failed", kind="mail")
    assert client.get("/metrics").status_code == 404
    settings.METRICS_TOKEN = "monitor"
    assert client.get("/metrics", headers={"Authorization": "Bearer other"}).status_code == 404
    text = client.get("/metrics", headers={"Authorization": "Bearer monitor"}).content.decode()
    assert 'kerbline_promises_waiting{queue="papers"} 1.0' in text
    assert 'kerbline_promises_given_up{queue="mail"} 1.0' in text
    age = next(line for line in text.splitlines() if line.startswith("kerbline_promises_oldest_due_seconds "))
    assert 175 < float(age.split()[1]) < 240
