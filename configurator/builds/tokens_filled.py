"""Digests for rows that held their tokens as they are; used by migrations alone.

The link that was given out goes on working by ``old_digest``; the row gets a token of its own, that later
mails can carry.
"""

from __future__ import annotations

from typing import Any

from .tokens import digest_of, new_nonce, token_of

AT_ONCE = 2000


def fill(model: Any, links: dict[str, tuple[str, str]]) -> int:
    """Fill the digests of a model as a migration sees it; ``links`` has kind and prefix by the token's field.

    It goes through the table by key, some thousand rows at a time, and returns how many rows it filled.
    """
    names = [
        f"{prefix}{name}" for _kind, prefix in links.values() for name in ("nonce", "digest", "old_digest")
    ]
    last, count = 0, 0
    while rows := list(model._base_manager.filter(pk__gt=last).order_by("pk").only("pk", *links)[:AT_ONCE]):
        for row in rows:
            for field, (kind, prefix) in links.items():
                nonce = new_nonce()
                setattr(row, f"{prefix}nonce", nonce)
                setattr(row, f"{prefix}digest", digest_of(token_of(kind, nonce)))
                setattr(row, f"{prefix}old_digest", digest_of(getattr(row, field)))
        model._base_manager.bulk_update(rows, names, batch_size=200)
        last, count = rows[-1].pk, count + len(rows)
    return count
