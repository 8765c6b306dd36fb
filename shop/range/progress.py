"""How far something is that is one transaction: told beside the database, which shows nothing until its end.

It is kept in the cache, for all machines where there is Redis, else for this process: what is not known is
not shown. Redis that does not answer keeps nobody from putting a list live or looking at it.
"""

from __future__ import annotations

from contextlib import suppress

from django.core.cache import cache
from redis.exceptions import RedisError

KEPT_S = 600


def noted(what: str, key: int, done: int, count: int) -> None:
    """Keep how many of so many are done."""
    with suppress(RedisError):
        cache.set(_name(what, key), (done, count), KEPT_S)


def percent(what: str, key: int) -> int | None:
    """Return how much is done, 0 to 100; None where that is not known."""
    try:
        found = cache.get(_name(what, key))
    except RedisError:
        return None
    return min(100, found[0] * 100 // found[1]) if found and found[1] else None


def _name(what: str, key: int) -> str:
    return f"progress:{what.replace(' ', '-')}:{key}"
