"""What the inbox is told of what is stuck."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.translation import ngettext

from shop.jobs.roles import roles_of
from shop.jobs.signals import Notice
from shop.jobs.states import MANAGER, REVIEWER

from . import selectors


def when_inbox_opens(sender: object, user: Any, **kwargs: Any) -> Notice | None:
    """Answer how much is stuck, to those who may do something about it."""
    if not roles_of(user) & {REVIEWER, MANAGER}:
        return None
    count = selectors.count()
    if not count:
        return None
    said = ngettext(
        "%(count)d mail, photo or paper is stuck", "%(count)d mails, photos or papers are stuck", count
    )
    return Notice(said % {"count": count}, reverse("shop:stuck"))
