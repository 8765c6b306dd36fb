"""Whether something failed because there is no room left, on a disk or in the database."""

from __future__ import annotations

import errno

NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT})
# SQLite's own words, and PostgreSQL's class 53 condition disk_full.
WORDS, SQLSTATE = "disk is full", "53100"


def is_full(error: BaseException | None) -> bool:
    """Whether the error, or one that led to it, says that the disk is full."""
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        if isinstance(error, OSError) and error.errno in NO_ROOM:
            return True
        if WORDS in str(error) or getattr(error, "sqlstate", "") == SQLSTATE:
            return True
        error = error.__cause__ or error.__context__
    return False
