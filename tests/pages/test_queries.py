"""An update costs the same few queries however large the catalogue is."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from configurator.models import Wheel

from .conftest import Visitor
from .growth import grow


def queries_of_an_update(visitor: Visitor) -> list[str]:
    """Warm the snapshot, then count one update in place."""
    visitor.post(in_place=True)
    with CaptureQueriesContext(
        connection,
    ) as seen:
        assert visitor.post(in_place=True, spacer="").status_code == 200
    return [query["sql"] for query in seen.captured_queries]


@pytest.mark.parametrize("times", [4, pytest.param(100, marks=pytest.mark.long)])
def test_an_update_costs_the_same_queries_at_many_times_the_catalogue(visitor: Visitor, times: int) -> None:
    before = queries_of_an_update(visitor)
    wheels = Wheel.objects.count()
    grow(times)
    assert Wheel.objects.count() == times * wheels
    after = queries_of_an_update(visitor)
    assert len(after) == len(before) <= 12, after
