"""Files that were found right before: what did not change is not judged again.

The office looks at an archive before it is loaded, and most files of it are as they were the last time.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from hashlib import sha256
from pathlib import Path
from threading import Lock
from typing import Any, TypeVar

T = TypeVar("T")
MOST_FILES, MOST_BYTES = 64, 250_000

_lock = Lock()
_kept: dict[tuple[Hashable, bytes], Any] = {}


def once(path: Path, judge: Callable[[], tuple[T, bool]], *about: Hashable) -> T:
    """Return what ``judge`` makes of a file; its second value says that nothing is wrong with it.

    Only then the first is kept, by the file's content and ``about``; nobody may change it. Larger files are
    judged each time, so the memory is bounded.
    """
    try:
        content = path.read_bytes() if path.stat().st_size <= MOST_BYTES else None
    except OSError:
        content = None
    if content is None:
        return judge()[0]
    key = (about, sha256(content).digest())
    with _lock:
        if key in _kept:
            found: T = _kept[key]
            return found
    made, is_right = judge()
    if is_right:
        with _lock:
            while len(_kept) >= MOST_FILES:
                del _kept[next(iter(_kept))]
            _kept[key] = made
    return made
