"""Leaving out of a contradiction whatever it does not need."""

from collections.abc import Callable


def minimal(members: list[int], contradict: Callable[[list[int]], list[int] | None]) -> list[int]:
    """Return a part of ``members`` that still contradicts and from which nothing can be left out.

    ``contradict(some)`` returns the members of ``some`` that are enough for a contradiction, None when
    ``some`` go together. The members are known to contradict; their order is kept.
    """
    kept = 0
    while kept < len(members):
        rest = members[:kept] + members[kept + 1 :]
        enough = contradict(rest)
        if enough is None:
            kept += 1
        else:
            still = set(enough)
            members = [member for member in rest if member in still]
    return members
