"""How much one visitor may do in a while, counted where all processes see it.

The counting is a library's (``limits``): in Redis where there is one, else in this process, so that on one
machine the limit holds for each web process by itself. Redis that does not answer shuts nobody out: then
each process counts for itself.
"""

from __future__ import annotations

import hashlib
import hmac
import logging
import math
import time
from functools import lru_cache

from django.conf import settings
from limits import RateLimitItem, parse
from limits.errors import StorageError
from limits.storage import MemoryStorage, storage_from_string
from limits.strategies import MovingWindowRateLimiter

logger = logging.getLogger(__name__)
ANSWERS_WITHIN_S = 0.5


def wait_for(what: str, *who: str) -> int:
    """Count one more deed of ``who`` and return 0, or the whole seconds to wait when it is one too many.

    ``what`` is a key of ``settings.LIMITS``; a kind without a limit there is not counted. A deed that is
    refused does not count, so waiting helps whoever keeps trying.
    """
    item = limit_of(what)
    if item is None:
        return 0
    # Nothing that says who it was is kept: neither addresses nor mail addresses.
    key = hmac.new(settings.SECRET_KEY.encode(), "\n".join(who).encode(), hashlib.sha256).hexdigest()
    try:
        return _asked(_shared(), item, what, key)
    except (StorageError, OSError) as error:
        logger.warning("limits are counted in this process alone: %s", type(error).__name__)
        return _asked(_own(), item, what, key)


def limit_of(what: str) -> RateLimitItem | None:
    """Return the limit on a kind of deed, or None when there is none."""
    text = settings.LIMITS.get(what, "")
    return parse(text) if text else None


def _asked(limiter: MovingWindowRateLimiter, item: RateLimitItem, what: str, key: str) -> int:
    if limiter.hit(item, what, key):
        return 0
    free_at = limiter.get_window_stats(item, what, key).reset_time
    return max(1, math.ceil(free_at - time.time()))


@lru_cache(maxsize=1)
def _shared() -> MovingWindowRateLimiter:
    if not settings.REDIS_URL:
        return _own()
    waits = {"socket_timeout": ANSWERS_WITHIN_S, "socket_connect_timeout": ANSWERS_WITHIN_S}
    return MovingWindowRateLimiter(
        storage_from_string(settings.REDIS_URL, wrap_exceptions=True, key_prefix="kerbline", **waits)
    )


@lru_cache(maxsize=1)
def _own() -> MovingWindowRateLimiter:
    return MovingWindowRateLimiter(MemoryStorage())


def forget() -> None:
    """Begin to count anew in this process; for tests."""
    _shared.cache_clear()
    _own.cache_clear()
