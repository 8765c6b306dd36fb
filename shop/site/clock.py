"""The clock of one machine: what beat does where there are workers, done by a thread of the web process.

Without it a mail that failed would wait for somebody to run a command. It goes by the same table,
``CELERY_BEAT_SCHEDULE``; when each thing was last done stands in the data folder, so that what fell due while
the site was down is done when it is up again. Of several web processes one has the clock, by a lock that
ends with the process.
"""

from __future__ import annotations

import fcntl
import json
import logging
import threading
from datetime import datetime
from importlib import import_module
from pathlib import Path
from typing import IO, Any

from celery.schedules import BaseSchedule, schedule
from django.conf import settings
from django.db import connections

from .celery import app

logger = logging.getLogger(__name__)
LOOKS_EVERY_S = 5.0


class Clock:
    """Which tasks are due, and doing them; ``path`` keeps when each was last done."""

    def __init__(self, table: dict[str, dict[str, Any]], path: Path) -> None:
        self.table, self.path = table, path
        self.last = self._read()

    def _read(self) -> dict[str, datetime]:
        try:
            told = json.loads(self.path.read_text())
            return {name: datetime.fromisoformat(at) for name, at in told.items() if name in self.table}
        except (OSError, ValueError, AttributeError):
            return {}

    def due(self, now: datetime) -> list[str]:
        """Return what is due; what was never done is due at its first time from now on."""
        found = []
        for name, entry in self.table.items():
            last = self.last.setdefault(name, now)
            if _schedule(entry["schedule"]).is_due(last).is_due:
                found.append(name)
        return found

    def tick(self) -> list[str]:
        """Do what is due, each by itself; return what was done or tried."""
        now = app.now()
        names = self.due(now)
        for name in names:
            try:
                _task(self.table[name]["task"])()
            except Exception:
                logger.exception("%s failed", name)
            self.last[name] = now
        if names or not self.path.exists():
            self._write()
        return names

    def _write(self) -> None:
        part = self.path.with_suffix(".part")
        try:
            part.write_text(json.dumps({name: at.isoformat() for name, at in self.last.items()}))
            part.replace(self.path)
        except OSError as error:
            logger.warning("when things were done could not be noted: %s", error)


def _schedule(given: Any) -> BaseSchedule:
    made: BaseSchedule = given if isinstance(given, BaseSchedule) else schedule(given, app=app)
    if made.app is None:
        made.app = app
    return made


def _task(path: str) -> Any:
    module, _, name = path.rpartition(".")
    return getattr(import_module(module), name)


def start() -> bool:
    """Start the clock where tasks run in this process and no other has it; return whether it was started."""
    if settings.REDIS_URL:
        return False
    lock = _take(settings.DATA_DIR / "clock.lock")
    if lock is None:
        # The one that has it may end: a thread waits for that without holding anybody up.
        threading.Thread(target=_wait_and_run, name="clock", daemon=True).start()
        return False
    threading.Thread(target=_run, args=[lock], name="clock", daemon=True).start()
    return True


def _take(path: Path, *, wait: bool = False) -> IO[str] | None:
    file = path.open("w")
    try:
        fcntl.flock(file, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        file.close()
        return None
    return file


def _wait_and_run() -> None:
    lock = _take(settings.DATA_DIR / "clock.lock", wait=True)
    if lock:
        _run(lock)


def _run(lock: IO[str]) -> None:
    clock = Clock(settings.CELERY_BEAT_SCHEDULE, settings.DATA_DIR / "clock.json")
    stop = threading.Event()
    while not lock.closed:
        clock.tick()
        connections.close_all()
        stop.wait(LOOKS_EVERY_S)
