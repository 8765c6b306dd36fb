"""Many presses at the same moment on PostgreSQL leave one effect and a whole history."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection

from configurator.models import OutboxEntry
from configurator.outbox import service as outbox
from shop.jobs.errors import JobError
from shop.jobs.states import State
from shop.messages import delivery
from shop.messages.conversation import write_as_customer
from shop.messages.writing import write_job_mail
from shop.models import HistoryEntry, Message, OutgoingMail
from shop.tracking import actions
from tests.shop import factories, racing
from tests.shop.tracking.conftest import offered

pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]
AT_ONCE = 20


@pytest.fixture(autouse=True)
def _postgres() -> None:
    if connection.vendor != "postgresql":
        pytest.skip("a race needs PostgreSQL: set DATABASE_URL")


def together(act: Callable[[], Any]) -> Counter[Any]:
    return racing.at_once(lambda n: act(), AT_ONCE, refusals=(JobError,))


def test_accepting_at_once_from_many_tabs_accepts_once() -> None:
    job = offered(factories.staff("reviewer"))

    seen = together(lambda: actions.accept(job_id=job.pk, revision_id=job.revision_id))

    assert seen[True] == 1
    assert sum(seen.values()) == AT_ONCE
    job.refresh_from_db()
    assert job.state == State.DEPOSIT_DUE
    for action in ("job.customer_agreed", "tracking.consent_given", "job.agreed", "job.deposit_asked"):
        assert HistoryEntry.objects.filter(job=job, action=action).count() == 1, action
    assert OutboxEntry.objects.filter(payload__template="deposit_request").count() == 1


def test_accepting_and_calling_off_at_once_leaves_one_of_both() -> None:
    job = offered(factories.staff("reviewer"))
    turns = iter(range(AT_ONCE))

    def act() -> Any:
        if next(turns) % 2:
            return actions.accept(job_id=job.pk, revision_id=job.revision_id)
        return actions.call_off(job_id=job.pk, why="Sold it.")

    together(act)

    job.refresh_from_db()
    assert job.state == State.CANCELLED  # either at once or after the yes; never lost
    assert HistoryEntry.objects.filter(job=job, to_state=State.CANCELLED).count() == 1
    assert HistoryEntry.objects.filter(job=job, action="job.customer_agreed").count() <= 1


def test_one_press_sent_many_times_writes_one_message() -> None:
    job = factories.job()
    seen = together(lambda: write_as_customer(job_id=job.pk, text="Hello?", press="one"))
    assert seen == {True: 1, False: AT_ONCE - 1}
    assert Message.objects.count() == 1


def test_many_workers_at_one_mail_send_it_once(mailoutbox: Any) -> None:
    factories.job()
    mailoutbox.clear()
    entry = OutboxEntry.objects.get(kind="job_mail")
    OutgoingMail.objects.all().delete()

    together(lambda: write_job_mail(entry.payload))
    mail = OutgoingMail.objects.get()
    mailoutbox.clear()
    OutgoingMail.objects.update(state="waiting")
    promised = OutboxEntry.objects.get(key=delivery.key_of(mail.pk))
    OutboxEntry.objects.update(state="waiting", next_attempt_at=entry.made_at)
    seen = together(lambda: outbox.keep(promised.pk))

    assert seen == {True: 1, False: AT_ONCE - 1}
    assert len(mailoutbox) == 1


def test_asking_for_links_at_once_keeps_to_the_limit() -> None:
    together(lambda: actions.ask_for_link(email="ida@customer.example", sender="192.0.2.1"))
    assert OutboxEntry.objects.filter(kind="job_links").count() == actions.LINKS_AN_ADDRESS
