"""An order on its way to the supplier, and what the supplier says to it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.conf import settings
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import override

from configurator.catalogue import workshop as workshops
from configurator.outbox import service as outbox
from shop.jobs.press import USED

from .correspondence import OrderAnswer, OrderMail
from .demand import open_claims
from .models import PurchaseLine, PurchaseOrder
from .models_orders import SUPPLIER_SAYS_SO
from .progress import promise_progress
from .receiving import close_line

KIND = "order_mail"
Said = OrderAnswer.Said


class OrderAnswerError(ValueError):
    """The answer cannot be noted; ``field`` is where the message belongs."""

    def __init__(self, message: str, field: str = "said") -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True)
class Letter:
    """What goes to the supplier beside the files."""

    language: str
    subject: str
    body: str


def letter_of(order: PurchaseOrder) -> Letter:
    """Return the letter in the supplier's language, as it is looked at and as it is mailed."""
    language = order.supplier_address.get("language") or settings.LANGUAGE_CODE
    workshop = workshops.current()
    with override(language):
        name = workshop.name if workshop else _("Workshop")
        subject = _("Order %(number)s from %(name)s") % {"number": order.number, "name": name}
        told = {"order": order, "workshop": workshop, "name": name}
        return Letter(language, subject[:200], render_to_string("mail/order.txt", told))


@transaction.atomic
def send_by_mail(*, order_id: int, by: Any, press: str, seen: int | None = None) -> OrderMail | None:
    """Have the order mailed after the commit; the same pressing is one mail. None: no address is known.

    ``seen`` is how many mails of it the page showed: raises ``OrderAnswerError`` where a colleague has sent
    it since, so that no supplier takes one order for two.
    """
    order = PurchaseOrder.objects.select_for_update().get(pk=order_id)
    to = order.supplier_address.get("email", "")
    if not to:
        return None
    others = order.mails.exclude(press=press)
    if seen is not None and seen < others.count() and (sent := others.first()):
        when = date_format(timezone.localtime(sent.asked_at), "j M, H:i")
        said = _("It was mailed since you opened the page: %(when)s, by %(by)s. Nothing was sent now.")
        raise OrderAnswerError(said % {"when": when, "by": sent.by.get_username() if sent.by else "–"})
    letter = letter_of(order)
    told = {"order": order, "to": to, "by": by, **vars(letter)}
    mail, made = OrderMail.objects.get_or_create(press=press, defaults=told)
    if made:
        outbox.promise(kind=KIND, key=key_of(mail), payload={"mail_id": mail.pk})
    return mail


def key_of(mail: OrderMail) -> str:
    """Return the key of the promise to send one mail."""
    return f"{KIND}:{mail.pk}"


@transaction.atomic
def try_again(*, order_id: int) -> bool:
    """Give the order's mails that were given up another set of tries; whether there were any."""
    failed = list(OrderMail.objects.filter(order=order_id, state=OrderMail.State.FAILED))
    OrderMail.objects.filter(pk__in=[mail.pk for mail in failed]).update(state=OrderMail.State.WAITING)
    return bool(failed) and bool(outbox.try_again([key_of(mail) for mail in failed]))


@transaction.atomic
def note_answer(
    *,
    order_id: int,
    said: str,
    by: Any,
    press: str,
    line_id: int | None = None,
    day: date | None = None,
    note: str = "",
) -> OrderAnswer:
    """Note what the supplier said of the whole order, or of one line; the same pressing is one note.

    A day that is told becomes the day on which the open lines are expected; what will not come at all is
    short again. Raises ``OrderAnswerError`` when later has no day, or nothing is open.
    """
    order = PurchaseOrder.objects.select_for_update().get(pk=order_id)
    before = OrderAnswer.objects.filter(press=press).first()
    if before:
        was = (before.order_id, before.said, before.line_id, before.day, before.note)
        if was != (order_id, said, line_id, day, note.strip()[:300]):
            raise OrderAnswerError(str(USED), "")
        return before
    if said == Said.LATER and day is None:
        raise OrderAnswerError(_("Say the day on which it is to come."), "day")
    told = order.lines.filter(pk=line_id) if line_id else order.lines.all()
    lines = [line for line in told if line.open > 0]
    if said in (Said.CONFIRMED, Said.LATER, Said.NOT_COMING) and not lines:
        raise OrderAnswerError(_("Nothing is open there any more."))
    answer = OrderAnswer.objects.create(
        order=order, line_id=line_id, said=said, day=day, note=note.strip()[:300], by=by, press=press
    )
    if said == Said.NOT_COMING:
        for line in lines:
            close_line(order_id=order.pk, line_id=line.pk, why=answer.note or SUPPLIER_SAYS_SO)
    elif said in (Said.CONFIRMED, Said.LATER):
        _expect(lines, day, answer)
    return answer


def _expect(lines: list[PurchaseLine], day: date | None, answer: OrderAnswer) -> None:
    """Keep the day told; jobs that wait are looked at, since a later day may come too late for them."""
    if day is None:
        return
    PurchaseLine.objects.filter(pk__in=[line.pk for line in lines]).update(expected_on=day)
    waiting = {claim.part.job_id for claim in open_claims({line.sku for line in lines})}
    promise_progress(waiting, f"answer-{answer.pk}")
