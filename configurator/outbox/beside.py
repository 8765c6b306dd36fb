"""Work in threads beside the requests of one machine: one thread a queue, so that none waits for another.

Where there are workers (``REDIS_URL``) they do it. Without them a mail server that hangs, a large photo or a
long plan would hold the page of whoever asked; and how long an answer takes would tell what was done.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Lock

from django.db import connections

logger = logging.getLogger(__name__)
_pools: dict[str, ThreadPoolExecutor] = {}
_waiting: set[int] = set()
_lock = Lock()


def do_beside(queue: str, work: Callable[[int], object], entry_id: int) -> None:
    """Have the work done by the queue's thread; a process that ends does what is left first."""
    with _lock:
        if entry_id in _waiting:
            return
        _waiting.add(entry_id)
        pool = _pools.get(queue) or ThreadPoolExecutor(max_workers=1, thread_name_prefix=f"queue-{queue}")
        _pools[queue] = pool
    try:
        pool.submit(_done, work, entry_id)
    except RuntimeError:  # the process is ending: the promise stays in the table, and the next one finds it
        with _lock:
            _waiting.discard(entry_id)


def _done(work: Callable[[int], object], entry_id: int) -> None:
    with _lock:
        _waiting.discard(entry_id)
    try:
        work(entry_id)
    except Exception:
        # The promise stays in the table, and the sweep finds it.
        logger.exception("promise %s was not kept", entry_id)
    finally:
        connections.close_all()


def wait_for_all() -> None:
    """Wait until everything handed over is done, and what that handed over too; for commands and tests."""
    quiet = 0
    while quiet < 2:  # what ran in the first round may have handed over to a queue that was empty by then
        with _lock:
            pools = list(_pools.values())
        for pool in pools:
            pool.submit(int).result()
        with _lock:
            quiet = 0 if _waiting else quiet + 1
