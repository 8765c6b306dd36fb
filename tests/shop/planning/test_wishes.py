"""One plan meets all wishes that wait; what fails is tried again; progress is told."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from configurator.outbox.models import OutboxEntry
from configurator.outbox.service import LaterError
from shop.models import Bay, PlanRun
from shop.planning import wishes
from shop.planning.demo import make_demo_bays
from shop.planning.service import PlanError, Planned
from shop.planning.wishes import ask_for_plan, current_run, keep_replan
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _bays():
    make_demo_bays()


def promised() -> int:
    return OutboxEntry.objects.filter(kind="replan").count()


def test_many_wishes_are_one_promise_and_one_plan(monkeypatch) -> None:
    runs: list[bool] = []
    monkeypatch.setattr(wishes, "replan", lambda **k: runs.append(k["thorough"]) or Planned(0, 0))
    for thorough in (False, True, False, False):
        ask_for_plan(thorough=thorough)
    assert (promised(), current_run().is_waiting) == (1, True)
    keep_replan({})
    keep_replan({})
    assert runs == [True]
    assert not current_run().is_waiting
    ask_for_plan()
    assert promised() == 2
    keep_replan({})
    assert runs == [True, False]


def test_a_wish_that_comes_while_planning_is_met_by_the_same_worker(monkeypatch) -> None:
    runs = []

    def plan(**kwargs: object) -> Planned:
        runs.append(1)
        if len(runs) == 1:
            ask_for_plan()
            with pytest.raises(LaterError):  # another worker: leaves it to the one that is at it
                keep_replan({})
        return Planned(0, 0)

    monkeypatch.setattr(wishes, "replan", plan)
    ask_for_plan()
    keep_replan({})
    assert len(runs) == 2
    assert not current_run().is_waiting


def test_a_failure_leaves_the_wish_for_the_next_try(monkeypatch) -> None:
    def fail(**kwargs: object) -> Planned:
        raise RuntimeError("power cut")

    monkeypatch.setattr(wishes, "replan", fail)
    ask_for_plan()
    with pytest.raises(RuntimeError):
        keep_replan({})
    # Nobody is at it any more, and the page does not say so.
    assert (current_run().stage, current_run().is_waiting) == ("", True)
    monkeypatch.setattr(wishes, "replan", lambda **k: Planned(3, 9))
    keep_replan({})
    run = current_run()
    assert (run.is_waiting, run.jobs, run.steps) == (False, 3, 9)


def test_a_worker_that_died_is_taken_over_from_only_after_a_while(monkeypatch) -> None:
    monkeypatch.setattr(wishes, "replan", lambda **k: Planned(0, 0))
    ask_for_plan()
    PlanRun.objects.update(begun=1, begun_at=timezone.now())
    with pytest.raises(LaterError):
        keep_replan({})
    assert current_run().is_waiting
    PlanRun.objects.update(begun_at=timezone.now() - timedelta(minutes=6))
    keep_replan({})
    assert not current_run().is_waiting


def test_what_cannot_be_planned_is_kept_for_the_page(monkeypatch) -> None:
    job = factories.job(state="parts_in")
    Bay.objects.filter(kind="lift").update(is_open=False)
    ask_for_plan()
    keep_replan({})
    assert current_run().problems == [[job.number, "place", "lift"]]

    def none(**kwargs: object) -> Planned:
        raise PlanError("too much")

    monkeypatch.setattr(wishes, "replan", none)
    ask_for_plan()
    keep_replan({})
    assert current_run().problems == [["", "horizon", "too much"]]


def test_progress_only_ever_grows_while_a_plan_is_made() -> None:
    factories.job(state="parts_in")
    told: list[tuple[str, int]] = []
    from shop.planning.service import replan

    replan(progress=lambda stage, percent: told.append((stage, percent)))
    assert [stage for stage, _ in told] == ["loading", "solving", "storing"]
    assert [percent for _, percent in told] == sorted(percent for _, percent in told)


def test_from_its_first_moment_a_run_says_where_it_stands(monkeypatch) -> None:
    seen: list[tuple[str, int]] = []

    def plan(**kwargs: object) -> Planned:
        seen.append((current_run().stage, current_run().percent))
        return Planned(0, 0)

    monkeypatch.setattr(wishes, "replan", plan)
    for _ in range(2):
        ask_for_plan()
        keep_replan({})
    assert seen == [("loading", 0), ("loading", 0)]
    assert (current_run().stage, current_run().percent) == ("", 100)
