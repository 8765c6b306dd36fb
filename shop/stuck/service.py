"""Trying again what is stuck, at the word of a person."""

from __future__ import annotations

from collections.abc import Callable

from django.db import transaction

from configurator.builds import photos
from configurator.models import OutboxEntry
from configurator.outbox import service as outbox
from shop.messages.models import OutgoingMail
from shop.parts.correspondence import OrderMail
from shop.wanted.models import RequestMail

from .selectors import stuck_rows


@transaction.atomic
def try_again(entry_id: int) -> bool:
    """Give one promise that is stuck another set of tries, at once; return whether it was stuck."""
    entry = stuck_rows().select_for_update().filter(pk=entry_id).first()
    if entry is None:
        return False
    made_ready = READY.get(entry.kind)
    if made_ready:
        made_ready(entry)
    outbox.try_now(entry.pk)
    return True


def try_all_again() -> int:
    """Do so for all that is stuck; return for how many."""
    return sum(try_again(pk) for pk in list(stuck_rows().order_by("made_at").values_list("pk", flat=True)))


def _mail(entry: OutboxEntry) -> None:
    failed = OutgoingMail.objects.filter(pk=entry.payload["mail_id"], state=OutgoingMail.State.FAILED)
    failed.update(state=OutgoingMail.State.WAITING)


def _order(entry: OutboxEntry) -> None:
    failed = OrderMail.objects.filter(pk=entry.payload["mail_id"], state=OrderMail.State.FAILED)
    failed.update(state=OrderMail.State.WAITING)


def _request(entry: OutboxEntry) -> None:
    failed = RequestMail.objects.filter(pk=entry.payload["mail_id"], state=RequestMail.State.FAILED)
    failed.update(state=RequestMail.State.WAITING)


def _photo(entry: OutboxEntry) -> None:
    photos.wait_again(photo_id=entry.payload["photo_id"])


READY: dict[str, Callable[[OutboxEntry], None]] = {
    "mail": _mail,
    "order_mail": _order,
    "request_mail": _request,
    "photo": _photo,
}
