"""What the inbox is told of requests for vehicles."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from shop.jobs.access import sees_customer
from shop.jobs.signals import Notice

from . import selectors
from .words import waiting_words


def when_inbox_opens(sender: object, user: Any, **kwargs: Any) -> Notice | None:
    """Answer how many requests wait, to those who see customers."""
    if not sees_customer(user):
        return None
    count = selectors.waiting().count()
    return Notice(waiting_words(count), reverse("shop:wanted"), "info") if count else None
