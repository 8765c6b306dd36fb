"""The demonstration's month: lived once by the product's own deeds, and whole."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone

from configurator.builds.evaluate import evaluate
from configurator.catalogue.snapshot import Catalogue
from configurator.models import OutboxEntry, Photo
from shop.demo import month
from shop.demo.builds import BUILDS
from shop.demo.clock import at
from shop.jobs.models import Job
from shop.jobs.states import State
from shop.models import Invoice, JobOperation, Message, OutgoingMail, PurchaseLine, Refund, StatementEntry
from shop.money.account import account


def test_the_clock_is_turned_for_whoever_holds_the_function_and_put_right() -> None:
    held = timezone.now
    long_ago = timezone.now() - timedelta(days=30)
    with at(long_ago):
        assert timedelta() <= held() - long_ago < timedelta(seconds=1)
        assert timezone.localdate() == timezone.localtime(long_ago).date()
    assert abs((held() - long_ago) - timedelta(days=30)) < timedelta(seconds=5)


@pytest.mark.parametrize("name", BUILDS)
def test_what_the_months_customers_send_can_be_sent(catalogue: Catalogue, name: str) -> None:
    judged = evaluate(BUILDS[name].selection, catalogue)
    assert judged.problems == ()
    assert judged.sendable
    assert name in {life.build for life in month.LIVES}


@pytest.mark.long
@pytest.mark.django_db(transaction=True)
def test_a_month_lies_there_in_every_state_and_nothing_hangs(settings: Any) -> None:
    call_command("demo", no_serve=True, in_public=True, stdout=StringIO())
    states = Counter(Job.objects.values_list("state", flat=True))
    # Agreed passes at once into deposit due, and its money into deposit in or on order.
    assert set(states) == set(State) - {State.AGREED}
    assert Job.objects.count() == 17
    by_time = list(Job.objects.order_by("opened_at").values_list("number", flat=True))
    assert by_time == sorted(by_time)

    # Nothing promised was left undone or failed, and no mail is stuck.
    assert not OutboxEntry.objects.exclude(state=OutboxEntry.State.DONE).exists()
    assert set(OutgoingMail.objects.values_list("state", flat=True)) == {"sent"}
    assert not Photo.objects.exclude(state=Photo.State.READY).exists()
    assert Photo.objects.count() >= 6
    assert JobOperation.objects.exclude(photo="").count() >= 5
    assert Message.objects.filter(from_customer=True).exists()

    # The plan has times for all that waits, in the future.
    waiting = JobOperation.objects.filter(job__state=State.BOOKED)
    assert waiting.count() > 5
    assert not waiting.filter(planned_start=None).exists()

    # One job's orders are late, of another's one has come.
    late = PurchaseLine.objects.filter(expected_on__lt=timezone.localdate())
    assert any(line.open > 0 for line in late)

    # The statement: a match that moved its job on, and puzzles that wait.
    kinds = Counter(StatementEntry.objects.values_list("state", flat=True))
    assert len(kinds) >= 2, kinds
    assert Invoice.objects.count() == 2
    for job in Job.objects.filter(state=State.HANDED_OVER):
        assert account(job).outstanding == 0
    assert not Refund.objects.exists()

    # History goes on in time, and nothing lies in the future.
    now = timezone.now()
    for job in Job.objects.all():
        times = list(job.history.order_by("pk").values_list("at", flat=True))
        assert times == sorted(times), job.number
        assert times[-1] <= now

    before = Job.objects.count()
    call_command("demo", no_serve=True, in_public=True, stdout=StringIO())
    assert Job.objects.count() == before
