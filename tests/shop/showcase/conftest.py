"""A job handed over, of a real build, with two photos of the customer's."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone

from shop.demo import deeds
from shop.demo.builds import BUILDS
from shop.jobs.states import State
from shop.models import Job
from tests.shop import factories


@pytest.fixture
def sent(demo_catalogue: Any) -> Job:
    """A job just sent."""
    return deeds.send(BUILDS["handles"], timezone.now())


@pytest.fixture
def job(sent: Job) -> Job:
    """The same, handed over."""
    Job.objects.filter(pk=sent.pk).update(
        state=State.HANDED_OVER, handed_over_at=timezone.now(), agreed_revision=sent.revision
    )
    return Job.objects.get(pk=sent.pk)


@pytest.fixture
def mira(demo_catalogue: Any) -> Any:
    """A reviewer."""
    return factories.staff("reviewer", name="mira")
