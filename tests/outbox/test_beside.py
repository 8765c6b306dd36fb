"""One machine without workers: work beside the request, and a clock that tries again."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as project
from django.utils import timezone

from configurator.models import OutboxEntry
from configurator.outbox import beside, holding
from configurator.outbox.keeping import claim
from shop.site.clock import Clock


def test_one_queue_never_waits_for_another() -> None:
    """A mail server that hangs holds mails up, and nothing else."""
    hangs, done = threading.Event(), threading.Event()
    beside.do_beside("mail", lambda _: hangs.wait(20), 1)
    begun = time.monotonic()
    beside.do_beside("photos", lambda _: done.set(), 2)
    assert done.wait(5)
    assert time.monotonic() - begun < 5
    hangs.set()
    beside.wait_for_all()


def test_work_that_fails_stops_no_work_after_it() -> None:
    done: list[int] = []

    def fails(entry_id: int) -> None:
        raise ValueError

    beside.do_beside("mail", fails, 1)
    beside.do_beside("mail", done.append, 2)
    beside.wait_for_all()
    assert done == [2]


def test_what_waits_in_the_queue_is_not_queued_twice() -> None:
    go, done = threading.Event(), []
    beside.do_beside("mail", lambda _: go.wait(20), 1)
    for _ in range(3):
        beside.do_beside("mail", done.append, 2)
    go.set()
    beside.wait_for_all()
    assert done == [2]


@pytest.mark.django_db
def test_a_claim_is_short_and_held_by_signs_of_life() -> None:
    entry = OutboxEntry.objects.create(kind="test", key="a", next_attempt_at=timezone.now())
    assert claim(entry.pk)
    entry.refresh_from_db()
    assert timedelta(0) < entry.next_attempt_at - timezone.now() <= timedelta(minutes=1)
    OutboxEntry.objects.update(next_attempt_at=timezone.now() + timedelta(seconds=5))
    assert holding.prolong(entry.pk)
    entry.refresh_from_db()
    assert entry.next_attempt_at - timezone.now() > timedelta(seconds=40)
    OutboxEntry.objects.update(state="done")
    assert not holding.prolong(entry.pk)


def test_signs_of_life_come_while_the_work_goes_on_and_end_with_it(monkeypatch: Any) -> None:
    signs: list[int] = []
    monkeypatch.setattr(holding, "SIGN_EVERY_S", 0.02)
    monkeypatch.setattr(holding, "prolong", signs.append)
    with holding.held(7):
        time.sleep(0.3)
    count = len(signs)
    assert count >= 3
    time.sleep(0.2)
    assert len(signs) <= count + 1


@pytest.mark.services
def test_a_broker_that_accepts_and_does_not_answer_holds_nobody_for_long(deaf: int, tmp_path: Path) -> None:
    """Five promises at once, in a process of their own: one short try, and all stay for the sweep."""
    environment = os.environ | {"KERBLINE_DATA": str(tmp_path), "DATABASE_URL": ""}
    environment["REDIS_URL"] = f"redis://127.0.0.1:{deaf}/0"
    python = [sys.executable, "manage.py"]
    subprocess.run([*python, "migrate", "-v0"], cwd=project.BASE_DIR, env=environment, check=True)
    deed = (
        "import time; from configurator.outbox.service import promise; from configurator.models import *\n"
        "begun = time.monotonic()\n"
        "for n in range(5): promise(kind='test', key=str(n), payload={})\n"
        "print(time.monotonic() - begun, OutboxEntry.objects.filter(state='waiting').count())"
    )
    done = subprocess.run(
        [*python, "shell", "-v0", "-c", deed], cwd=project.BASE_DIR, env=environment,
        capture_output=True, text=True, check=True, timeout=90,
    )  # fmt: skip
    took, kept = done.stdout.split()
    assert float(took) < 8
    assert kept == "5"


def test_the_clock_does_what_is_due_and_remembers(tmp_path: Path, monkeypatch: Any) -> None:
    done: list[str] = []
    monkeypatch.setattr("configurator.outbox.tasks.sweep_outbox", lambda: done.append("sweep"))
    table = {"sweep": {"task": "configurator.outbox.tasks.sweep_outbox", "schedule": 0.05}}
    path = tmp_path / "clock.json"
    clock = Clock(table, path)
    assert clock.tick() == []
    time.sleep(0.1)
    assert clock.tick() == ["sweep"]
    assert clock.tick() == []
    assert done == ["sweep"]
    # Down meanwhile: what fell due is done when it is up again.
    told = {name: (at.replace(year=at.year - 1)).isoformat() for name, at in clock.last.items()}
    path.write_text(json.dumps(told))
    assert Clock(table, path).tick() == ["sweep"]
    path.write_text("half a fi")
    assert Clock(table, path).tick() == []


def test_a_task_that_fails_stops_no_other(tmp_path: Path, monkeypatch: Any) -> None:
    done: list[str] = []

    def fails() -> None:
        raise OSError("no")

    monkeypatch.setattr("configurator.outbox.tasks.sweep_outbox", fails)
    monkeypatch.setattr("configurator.outbox.tasks.sweep", lambda: done.append("other"))
    table = {
        "sweep": {"task": "configurator.outbox.tasks.sweep_outbox", "schedule": 0.0},
        "other": {"task": "configurator.outbox.tasks.sweep", "schedule": 0.0},
    }
    clock = Clock(table, tmp_path / "clock.json")
    clock.tick()
    clock.tick()
    assert done


def test_everything_beat_does_the_clock_finds() -> None:
    for name, entry in project.CELERY_BEAT_SCHEDULE.items():
        module, _, task = entry["task"].rpartition(".")
        assert callable(getattr(__import__(module, fromlist=[task]), task)), name


@pytest.mark.services
def test_a_web_process_of_one_machine_tries_again_by_itself(tmp_path: Path) -> None:
    """The real thing: gunicorn, SQLite, a mail server that comes late, and nobody who runs a command."""
    environment = os.environ | {"KERBLINE_DATA": str(tmp_path), "DATABASE_URL": "", "REDIS_URL": ""}
    python = [sys.executable, "manage.py"]
    subprocess.run([*python, "migrate", "-v0"], cwd=project.BASE_DIR, env=environment, check=True)
    make = (
        "from configurator.models import OutboxEntry; from django.utils import timezone;"
        "OutboxEntry.objects.create(kind='job_links', key='k', payload={'email': 'x@y.example'},"
        " next_attempt_at=timezone.now())"
    )
    subprocess.run([*python, "shell", "-c", make], cwd=project.BASE_DIR, env=environment, check=True)
    serve = [sys.executable, "-m", "gunicorn", "-b", "127.0.0.1:0", "shop.site.wsgi", "--threads", "2"]
    web = subprocess.Popen(serve, cwd=project.BASE_DIR, env=environment, stderr=subprocess.DEVNULL)
    look = "from configurator.models import OutboxEntry; print(OutboxEntry.objects.get().state)"
    try:
        deadline = time.monotonic() + 180
        state = ""
        while state != "done" and time.monotonic() < deadline:
            time.sleep(2)
            asked = subprocess.run(
                [*python, "shell", "-v0", "-c", look], cwd=project.BASE_DIR, env=environment,
                capture_output=True, text=True, check=True,
            )  # fmt: skip
            state = asked.stdout.strip()
    finally:
        web.send_signal(signal.SIGTERM)
        web.wait(timeout=30)
    assert state == "done"
