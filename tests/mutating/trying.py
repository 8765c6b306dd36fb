"""A run of pytest that records which tests reach which line, and then forks a process for every mistake.

The child has the test database in its own memory, plants its mistake and runs the tests that reached the
line, the quickest first, until one fails or the seconds are over.
"""

from __future__ import annotations

import os
import resource
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

import coverage
import pytest
from _pytest.runner import runtestprotocol

from .mistakes import Mistake
from .planting import caches, functions_of, plant

KILLED, SURVIVED, UNREACHED, STUCK = "killed", "survived", "unreached", "stuck"
FOUND = {0: SURVIVED, 1: KILLED, 3: UNREACHED}
FOUND_AS = {found: code for code, found in FOUND.items()}


@dataclass
class Trying:
    """The plugin: ``tell`` is told what became of each mistake."""

    mistakes: list[Mistake]
    tell: Callable[[Mistake, str], None]
    seconds: float
    took: dict[str, float] = field(default_factory=dict)
    reached: dict[tuple[str, int], list[Any]] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Record, then try every mistake."""
        self._record(session.items)
        if self.failed:
            raise pytest.UsageError("fails without a mistake: " + ", ".join(self.failed[:5]))
        if self._child(lambda: self._goes_well(session.items)) != SURVIVED:
            raise pytest.UsageError("a child fails without a mistake")
        functions = functions_of({os.path.abspath(one.path) for one in self.mistakes})  # noqa: PTH100
        remembered = caches()
        for mistake in self.mistakes:
            tests = self._tests_of(mistake)
            if not tests:
                self.tell(mistake, UNREACHED)
                continue
            self.tell(mistake, self._child(partial(self._with, mistake, functions, remembered, tests)))
        return True

    def _record(self, items: list[Any]) -> None:
        """Run every test once, noting its processor time and the lines of our files that it reached."""
        files = sorted({str(Path(one.path).resolve()) for one in self.mistakes})
        watch = coverage.Coverage(data_file=None, include=files, config_file=False)
        for number, item in enumerate(items):
            watch.start()
            watch.switch_context(item.nodeid)
            began = time.process_time()
            later = items[(number + 1) % len(items)]
            reports = runtestprotocol(item, nextitem=later, log=False)
            self.took[item.nodeid] = time.process_time() - began
            watch.stop()
            if any(report.failed for report in reports):
                self.failed.append(item.nodeid)
        data = watch.get_data()
        by_name = {item.nodeid: item for item in items}
        for file in data.measured_files():
            for line, contexts in data.contexts_by_lineno(file).items():
                self.reached[file, line] = [by_name[one] for one in contexts if one in by_name]

    def _tests_of(self, mistake: Mistake) -> list[Any]:
        """Return the tests that reached the line, the quickest first, while time is left."""
        file = str(Path(mistake.path).resolve())
        # A line within a long expression may be none that the interpreter stops at: then the one before it.
        lines = range(mistake.line, mistake.first_line, -1)
        tests = next((self.reached[file, line] for line in lines if (file, line) in self.reached), [])
        chosen, left = [], self.seconds
        for item in sorted(tests, key=lambda one: self.took[one.nodeid]):
            left -= self.took[item.nodeid]
            if left < 0 and chosen:
                break
            chosen.append(item)
        return chosen

    def _child(self, deed: Callable[[], str]) -> str:
        """Fork, do a deed that says what it found, and leave without a trace; wait for the answer."""
        child = os.fork()
        if child:
            _pid, status = os.waitpid(child, 0)
            return STUCK if os.WIFSIGNALED(status) else FOUND.get(os.WEXITSTATUS(status), KILLED)
        found = KILLED
        try:
            found = deed()
        finally:
            os._exit(FOUND_AS[found])

    def _with(self, mistake: Mistake, functions: Any, remembered: list[Any], tests: list[Any]) -> str:
        """Plant the mistake and run the tests, within bounds."""
        for one in remembered:
            one.cache_clear()
        limit = int(time.process_time() + 3 * self.seconds) + 10
        resource.setrlimit(resource.RLIMIT_CPU, (limit, limit))
        signal.alarm(int(20 * self.seconds) + 60)
        return self._goes_well(tests) if plant(mistake, functions) else UNREACHED

    @staticmethod
    def _goes_well(tests: list[Any]) -> str:
        """Run tests until one fails."""
        for item, later in zip(tests, [*tests[1:], tests[0]], strict=True):
            if any(report.failed for report in runtestprotocol(item, nextitem=later, log=False)):
                return KILLED
        return SURVIVED
