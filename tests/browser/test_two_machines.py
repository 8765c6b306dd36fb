"""The whole shop once more, on two machines that share database, Redis and a bucket and nothing else.

Two web processes take turns, so that whatever one of them keeps for itself is missing with the next request;
two workers keep the promises of both, and one clock stands beside them. Each of the five has a data folder of
its own.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import global_settings
from playwright.sync_api import Page

from configurator.models import OutboxEntry
from shop.jobs.demo import make_demo_staff
from shop.site import celery_app
from shop.site.storage import storages
from tests.site import serving
from tests.site.turns import Turns, taking_turns

from .test_whole_shop import from_spec_to_handover

pytestmark = [
    pytest.mark.services,
    pytest.mark.skipif("postgres" not in os.environ.get("DATABASE_URL", ""), reason="needs PostgreSQL"),
    pytest.mark.skipif(not os.environ.get("REDIS_URL"), reason="needs REDIS_URL"),
]


@pytest.fixture
def turns(
    transactional_db: None, demo_catalogue: Any, settings: Any, tmp_path: Path, monkeypatch: Any
) -> Iterator[Turns]:
    """Two machines with a web process and a worker each, behind one address."""
    settings.PASSWORD_HASHERS = global_settings.PASSWORD_HASHERS  # the quick one is the tests' own
    make_demo_staff()
    ports = serving.free_port(), serving.free_port()
    with serving.bucket() as shared, taking_turns(*ports) as turns:
        told = shared | {"KERBLINE_SITE_URL": turns.address, "KERBLINE_SECOND_FACTOR": "no"}
        webs = [
            serving.start_web(port, serving.environment(tmp_path / f"web{port}", **told), workers=1)
            for port in ports
        ]
        workers = [
            serving.start_worker(serving.environment(tmp_path / f"worker{n}", **told)) for n in range(2)
        ]
        beat = serving.start_beat(serving.environment(tmp_path / "clock", **told))
        # The few steps that the test does itself are done as on a third machine.
        for name, value in shared.items():
            monkeypatch.setenv(name, value)
        settings.STORAGES = storages(shared["KERBLINE_STORAGE"], static=tmp_path)
        celery_app.conf.task_always_eager = False
        with serving.ended(*webs, *workers, beat):
            yield turns
        celery_app.conf.task_always_eager = True


@pytest.fixture
def site(turns: Turns) -> str:
    """Where browsers go."""
    return turns.address


def test_two_customers_on_two_machines(
    turns: Turns, visit: Callable[..., Page], sign_in: Callable[..., Page], tmp_path: Path
) -> None:
    from_spec_to_handover(visit, sign_in)
    for port in turns.ports:
        assert sum(each.port == port and each.method == "POST" for each in turns.passed) > 20
    assert [each for each in turns.passed if each.status >= 500] == []
    # A photo or paper that lies on one machine would be found by the other one time in two.
    assert [each for each in turns.passed if each.status == 404 and "/job/" not in each.path] == []
    left = [path for path in tmp_path.rglob("*") if path.suffix in {".jpg", ".jpeg", ".pdf", ".png"}]
    assert left == [], "a file lies on one machine's disk"
    undone = OutboxEntry.objects.exclude(state=OutboxEntry.State.DONE)
    assert serving.wait_until(lambda: not undone.exists(), 120), list(undone.values("kind", "last_error"))
