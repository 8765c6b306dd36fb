"""What the inbox is told of requests for vehicles, and links that were lost."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils import timezone

from shop.jobs.access import sees_customer
from shop.jobs.signals import Notice

from . import keeping, mailing, selectors
from .words import waiting_words

NEWEST = 5


def when_inbox_opens(sender: object, user: Any, **kwargs: Any) -> Notice | None:
    """Answer how many requests wait, to those who see customers."""
    if not sees_customer(user):
        return None
    count = selectors.waiting_count()
    return Notice(waiting_words(count), reverse("shop:wanted"), "info") if count else None


def when_links_asked(sender: object, email: str, **kwargs: Any) -> None:
    """Mail the links of the newest requests of an address, once a minute at the most."""
    minute = f"{timezone.now():%Y%m%d%H%M}"
    rows = keeping.of_person(email).filter(state__in=selectors.HERE)
    for row in rows.exclude(state=selectors.State.WITHDRAWN)[:NEWEST]:
        mailing.write(row, "link", occasion=minute)
