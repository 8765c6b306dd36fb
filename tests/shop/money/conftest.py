"""What tests of money share: who decides, and one day on which it all happens."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from tests.shop import factories

from .ledgers import TODAY


@pytest.fixture
def manager(db: None) -> Any:
    return factories.staff("manager", name="mia")


@pytest.fixture
def one_day() -> Iterator[None]:
    """Noon of ``TODAY``, standing still."""
    noon = datetime(TODAY.year, TODAY.month, TODAY.day, 12, tzinfo=timezone.get_default_timezone())
    with time_machine.travel(noon, tick=False):
        yield
