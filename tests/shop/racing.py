"""The same deed by many at the same moment, on a database that has more than one connection."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

from django.db import close_old_connections, connections


def at_once(
    deed: Callable[[int], Any], times: int, *, abreast: int = 0, refusals: tuple[type[Exception], ...]
) -> Counter[Any]:
    """Do it so many times, ``abreast`` at a time from one start; count what each time came to.

    That is what the deed returned, or the name of the refusal; ``deed`` is given its number.
    """
    side_by_side = abreast or times
    start = Barrier(side_by_side)

    def one(number: int) -> Any:
        close_old_connections()
        start.wait(timeout=60)
        try:
            return deed(number)
        except refusals as error:
            return type(error).__name__
        finally:
            connections.close_all()

    with ThreadPoolExecutor(side_by_side) as pool:
        return Counter(pool.map(one, range(times)))


def done(deed: Callable[[int], Any]) -> Callable[[int], str]:
    """Return the deed with one answer for whatever it returns."""

    def one(number: int) -> str:
        deed(number)
        return "done"

    return one
