"""Who keeps which promise: handlers by kind, registered where the work is at home."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

Keep = Callable[[dict[str, Any]], None]
Failed = Callable[[dict[str, Any], str, bool], None]

MAIL, PHOTOS, PAPERS, PLANS, OTHER = "mail", "photos", "papers", "plans", "celery"
QUEUES = (MAIL, OTHER, PHOTOS, PAPERS, PLANS)
"""Celery's queues by urgency: a worker takes from all of them, and none waits behind another."""


@dataclass(frozen=True)
class Handler:
    """How promises of one kind are kept.

    ``atomic`` keeps the promise and marks it kept in one transaction; where the work talks to another
    machine it is False, so that no transaction stays open meanwhile. ``failed`` is told of every failure:
    the payload, the error in words, and whether the promise was given up.
    """

    keep: Keep
    queue: str = OTHER
    atomic: bool = True
    failed: Failed | None = None


_handlers: dict[str, Handler] = {}


def handles(
    kind: str, *, queue: str = OTHER, atomic: bool = True, failed: Failed | None = None
) -> Callable[[Keep], Keep]:
    """Register the function that keeps promises of this kind; used as a decorator."""

    def register(keep: Keep) -> Keep:
        _handlers[kind] = Handler(keep, queue, atomic, failed)
        return keep

    return register


def handler_of(kind: str) -> Handler:
    """Return who keeps promises of this kind; raise KeyError when nobody does."""
    return _handlers[kind]


def queue_of(kind: str) -> str:
    """Return the queue for promises of this kind, also when nobody keeps them."""
    known = _handlers.get(kind)
    return known.queue if known else OTHER
