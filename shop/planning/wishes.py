"""Asking for a new plan. All wishes that come in before planning begins are met by one run, in a worker."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from configurator.outbox import service as outbox
from configurator.outbox.handlers import PLANS, handles

from .models import PlanRun
from .service import PlanError, replan

KIND = "replan"
LOST_AFTER = timedelta(minutes=4)  # a run that began so long ago and never ended is begun again
ONLY = 1


@transaction.atomic
def ask_for_plan(*, thorough: bool = False) -> PlanRun:
    """Have the plan made anew after the commit; nothing more is promised where a wish waits already."""
    PlanRun.objects.get_or_create(pk=ONLY)
    run = PlanRun.objects.select_for_update().get(pk=ONLY)
    waits = run.asked > run.begun
    run.asked += 1
    run.thorough = run.thorough or thorough
    run.save(update_fields=["asked", "thorough"])
    if not waits:
        outbox.promise(kind=KIND, key=f"{KIND}:{run.asked}", payload={"wish": run.asked})
    return run


def current_run() -> PlanRun:
    """Return where planning stands."""
    return PlanRun.objects.filter(pk=ONLY).first() or PlanRun(pk=ONLY)


@handles(KIND, queue=PLANS, atomic=False)
def keep_replan(payload: dict[str, Any]) -> None:
    """Meet every wish that has come in, also while planning; one worker at a time does so.

    What cannot be planned is told on the plan's page and is no reason to try again. While another worker is
    at it, the wish waits: should that worker be killed, nobody else would know of it.
    """
    while run := _begin():
        try:
            done = replan(thorough=run.thorough, progress=_tell)
        except PlanError as error:
            _end(run, problems=[["", "horizon", str(error)]])
        except Exception:
            PlanRun.objects.filter(pk=ONLY, begun=run.begun).update(begun=F("kept"), stage="")
            raise
        else:
            problems = [list(each) for each in done.left_out]
            _end(run, problems=problems, steps=done.steps, jobs=done.jobs)


@transaction.atomic
def _begin() -> PlanRun | None:
    """Take up all wishes there are; None when all are met. Raises LaterError while another is at it."""
    run = PlanRun.objects.select_for_update().filter(pk=ONLY).first()
    if run is None or not run.is_waiting:
        return None
    if run.begun > run.kept and run.begun_at and timezone.now() - run.begun_at < LOST_AFTER:
        raise outbox.LaterError
    run.begun, run.begun_at, run.percent, run.stage = run.asked, timezone.now(), 0, "loading"
    PlanRun.objects.filter(pk=ONLY).update(
        begun=run.begun, begun_at=run.begun_at, percent=0, stage=run.stage, thorough=False
    )
    return run


def _end(run: PlanRun, *, problems: list[list[str]], steps: int = 0, jobs: int = 0) -> None:
    ended = {"kept": run.begun, "kept_at": timezone.now(), "stage": "", "percent": 100}
    PlanRun.objects.filter(pk=ONLY, begun=run.begun).update(
        **ended, problems=problems, steps=steps, jobs=jobs
    )


def _tell(stage: str, percent: int) -> None:
    PlanRun.objects.filter(pk=ONLY).update(stage=stage, percent=percent)
