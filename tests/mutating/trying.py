"""A run of pytest that records which tests reach which line, and then forks a process for every mistake.

The child has the test database in its own memory, plants its mistake and runs the tests that reached the
line, the quickest first, until one fails or the seconds are over.
"""

from __future__ import annotations

import importlib
import os
import pickle
import resource
import signal
import tempfile
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


CONTROL = 10
"""Of so many mistakes one's tests are run without it too."""
MOST_FAILED = 3
Reached = dict[tuple[str, int], list[str]]


@dataclass
class Trying:
    """The plugin: ``tell`` is told what became of each mistake."""

    mistakes: list[Mistake]
    tell: Callable[[Mistake, str], None]
    seconds: float
    took: dict[str, float] = field(default_factory=dict)
    reached: Reached = field(default_factory=dict)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Record, then try every mistake."""
        by_name = {item.nodeid: item for item in session.items}
        self._record(session.items)
        self._warm_up(session.items)
        for path in {one.path for one in self.mistakes}:
            # Some are imported first where they are used, such as what needs the solver.
            importlib.import_module(path.removesuffix(".py").replace("/", "."))
        functions = functions_of({os.path.abspath(one.path) for one in self.mistakes})  # noqa: PTH100
        remembered = caches()
        for number, mistake in enumerate(self.mistakes):
            tests = [by_name[name] for name in self._tests_of(mistake)]
            if not tests:
                self.tell(mistake, UNREACHED)
                continue
            if number % CONTROL == 0 and self._child(partial(self._goes_well, tests)) != SURVIVED:
                raise pytest.UsageError(f"fails without a mistake: {mistake.name}")
            self.tell(mistake, self._child(partial(self._with, mistake, functions, remembered, tests)))
        return True

    def _record(self, items: list[Any]) -> None:
        """Run every test once, noting its processor time and the lines of our files that it reached.

        A child does it, so that no library has threads in the process from which all others are forked.
        """
        with tempfile.TemporaryDirectory() as folder:
            noted = Path(folder) / "noted"
            self._child(lambda: noted.write_bytes(pickle.dumps(self._watched(items))) and SURVIVED)
            self.took, self.reached, failed = pickle.loads(noted.read_bytes())
        if failed:
            # Such as one that must find something within seconds, on a machine that others use too.
            print("left out, since they fail without a mistake: " + ", ".join(failed), flush=True)
        if len(failed) > MOST_FAILED:
            raise pytest.UsageError("too much fails without a mistake")

    def _watched(self, items: list[Any]) -> tuple[dict[str, float], Reached, list[str]]:
        files = sorted({str(Path(one.path).resolve()) for one in self.mistakes})
        watch = coverage.Coverage(data_file=None, include=files, config_file=False)
        took, failed = {}, []
        for number, item in enumerate(items):
            watch.start()
            watch.switch_context(item.nodeid)
            began = time.process_time()
            reports = runtestprotocol(item, nextitem=items[(number + 1) % len(items)], log=False)
            took[item.nodeid] = time.process_time() - began
            watch.stop()
            if any(report.failed for report in reports):
                failed.append(item.nodeid)
        data = watch.get_data()
        reached = {
            (file, line): [name for name in names if name in took and name not in failed]
            for file in data.measured_files()
            for line, names in data.contexts_by_lineno(file).items()
        }
        return took, reached, failed

    def _warm_up(self, items: list[Any]) -> None:
        """Make the test database, and read the catalogue where a test wants it, once for all children."""
        for fixture in ("demo_catalogue", "db"):
            wanting = [item for item in items if fixture in item.fixturenames]
            if wanting:
                quickest = min(wanting, key=lambda item: self.took[item.nodeid])
                _leave_for(quickest)
                runtestprotocol(quickest, nextitem=quickest, log=False)

    def _tests_of(self, mistake: Mistake) -> list[str]:
        """Return the tests that reached the line, the quickest first, while time is left."""
        file = str(Path(mistake.path).resolve())
        # A line within a long expression may be none that the interpreter stops at: then the one before it.
        lines = range(mistake.line, mistake.first_line, -1)
        tests = next((self.reached[file, line] for line in lines if (file, line) in self.reached), [])
        chosen, left = [], self.seconds
        for name in sorted(tests, key=lambda one: self.took[one]):
            left -= self.took[name]
            if left < 0 and chosen:
                break
            chosen.append(name)
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
        _leave_for(tests[0])
        for item, later in zip(tests, [*tests[1:], tests[0]], strict=True):
            for report in runtestprotocol(item, nextitem=later, log=False):
                if report.failed:
                    return KILLED
        return SURVIVED


def _leave_for(item: Any) -> None:
    """Take down what the test before left up and this one does not share; the database stays."""
    item.session._setupstate.teardown_exact(item)
