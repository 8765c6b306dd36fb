"""Goods that did not go the straight way: a receipt undone, damaged, wrong, sent back, and the credit."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.builds.money import rounded
from shop.jobs.press import USED

from .demand import open_claims
from .models import GoodsNote, PurchaseLine, PurchaseOrder, Receipt
from .progress import promise_progress
from .quantities import NOTHING
from .receiving import close_line, set_state
from .stock import Reason, StockError, lock_levels, reserve, take_off

What = GoodsNote.What
ON_ARRIVAL = (What.DAMAGED, What.WRONG)
"""What was found before it was booked in, so that it never lay on the shelf."""
COMES_AGAIN, CREDIT = "again", "credit"
"""What the supplier does about it: sends it once more, or takes it off the bill."""


class GoodsError(ValueError):
    """It cannot be noted; ``field`` is where the message belongs."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True)
class Trouble:
    """What is wrong with how much of a line, and what the supplier does about it."""

    what: str
    quantity: Decimal
    then: str
    note: str = ""


@transaction.atomic
def undo_receipt(*, receipt_id: int, why: str, by: Any) -> bool:
    """Take back a receipt that was booked by mistake; return False when it is undone already.

    What it brought leaves the shelf, kept surplus included, and is open on its lines again. Raises
    ``GoodsError`` when it does not lie there any more.
    """
    order = PurchaseOrder.objects.select_for_update(of=("self",)).get(receipts=receipt_id)
    receipt = Receipt.objects.select_for_update().get(pk=receipt_id)
    if receipt.undone_at:
        return False
    if not why.strip():
        raise GoodsError(_("Say why it is undone."), "why")
    rows = list(receipt.lines.select_related("line"))
    kept = list(receipt.goods_notes.filter(what=What.KEPT).select_related("line"))
    total: dict[int, Decimal] = defaultdict(Decimal)
    for row in rows:
        total[row.line_id] += row.quantity
    for note in kept:
        total[note.line_id] += note.quantity
    brought = [(line, total[line.pk]) for line in order.lines.filter(pk__in=total)]
    lock_levels(line.sku for line, _quantity in brought)
    losing: set[int] = set()
    for line, quantity in brought:
        losing |= _take_off(line, quantity, Reason.UNDONE, by, order.number)
    for row in rows:
        _not_received(row.line, row.quantity)
    receipt.undone_at, receipt.undone_by, receipt.undone_why = timezone.now(), by, why.strip()[:200]
    receipt.save(update_fields=["undone_at", "undone_by", "undone_why"])
    for line, _quantity in brought:
        if sendable(PurchaseLine.objects.get(pk=line.pk)) < 0:
            raise GoodsError(_("Some of it went back to the supplier already."), "why")
    set_state(order)
    gained = reserve(skus={row.line.sku for row in rows})
    promise_progress(losing | gained, f"undone-{receipt.pk}")
    return True


def _take_off(line: PurchaseLine, quantity: Decimal, reason: str, by: Any, note: str) -> set[int]:
    try:
        return take_off(sku=line.sku, quantity=quantity, reason=reason, by=by, note=note)
    except StockError as error:
        raise GoodsError(f"{line.name}: {error}", "quantity") from error


def _not_received(line: PurchaseLine, quantity: Decimal) -> None:
    """Have the line expect this much again."""
    row = PurchaseLine.objects.get(pk=line.pk)
    if quantity > row.received:
        raise GoodsError(_("Less than that was booked in on this line."), "quantity")
    row.received -= quantity
    row.save(update_fields=["received"])


def sendable(line: PurchaseLine) -> Decimal:
    """Return how much of a line can still go back: what came and was not credited or sent back before."""
    notes = line.goods_notes.filter(receipt__undone_at=None)
    kept = sum((note.quantity for note in notes if note.what == What.KEPT), NOTHING)
    # What comes again was taken off the received quantity already.
    gone = sum(
        (note.quantity for note in notes if note.what == What.RETURNED and not note.comes_again), NOTHING
    )
    return line.received + kept - gone


@transaction.atomic
def note_trouble(*, order_id: int, line_id: int, trouble: Trouble, by: Any, press: str) -> GoodsNote:
    """Note goods that are damaged, wrong or go back; the same pressing is one note.

    What lay on the shelf leaves it, also from under a reservation: that job wants it anew. What comes again
    is open on its line; what is credited is not, and what jobs lack of it is to be ordered. Raises
    ``GoodsError``.
    """
    order = PurchaseOrder.objects.select_for_update().get(pk=order_id)
    line = order.lines.get(pk=line_id)
    before = GoodsNote.objects.filter(press=press, line=line, what=trouble.what).first()
    if before:
        was = (before.quantity, before.comes_again, before.note)
        if was != (trouble.quantity, trouble.then == COMES_AGAIN, trouble.note.strip()[:200]):
            raise GoodsError(str(USED))
        return before
    lock_levels([line.sku])
    losing = _on_arrival(line, trouble) if trouble.what in ON_ARRIVAL else _back(line, trouble, by)
    credit = None if trouble.then == COMES_AGAIN else rounded(trouble.quantity * line.unit_cost_net)
    made = GoodsNote.objects.create(
        line=line,
        press=press,
        what=trouble.what,
        quantity=trouble.quantity,
        comes_again=trouble.then == COMES_AGAIN,
        note=trouble.note.strip()[:200],
        credit_due_net=credit,
        by=by,
    )
    set_state(order)
    promise_progress(losing | reserve(skus=[line.sku]), f"goods-{made.pk}")
    return made


def _on_arrival(line: PurchaseLine, trouble: Trouble) -> set[int]:
    """What was never booked in: still open when it comes again, else given up and to be ordered anew."""
    if trouble.quantity > line.open:
        raise GoodsError(
            _("Only %(n)s are open on this line. What was booked in already is sent back from the shelf.")
            % {"n": f"{line.open.normalize():f}"},
            "quantity",
        )
    if trouble.then == CREDIT:
        if trouble.quantity < line.open:
            # Part of the line: the rest is still to come.
            line.given_up += trouble.quantity
            line.save(update_fields=["given_up"])
            return {claim.part.job_id for claim in open_claims([line.sku])}
        close_line(order_id=line.order_id, line_id=line.pk, why=trouble.note or str(What(trouble.what).label))
    return set()


def _back(line: PurchaseLine, trouble: Trouble, by: Any) -> set[int]:
    """What goes back from the shelf."""
    can = sendable(line)
    if trouble.quantity > can:
        raise GoodsError(
            _("Only %(n)s of this line came and can go back.") % {"n": f"{can.normalize():f}"}, "quantity"
        )
    if trouble.then == COMES_AGAIN:
        if line.not_coming:
            raise GoodsError(
                _("The rest of this line was given up, so nothing is expected on it. Choose the credit."),
                "then",
            )
        _not_received(line, trouble.quantity)
    return _take_off(line, trouble.quantity, Reason.SENT_BACK, by, line.order.number)


@transaction.atomic
def note_credit(*, note_id: int, number: str, amount_net: Decimal) -> bool:
    """Note the supplier's credit for goods; return False when one is noted already."""
    note = GoodsNote.objects.select_for_update().get(pk=note_id)
    if not note.awaits_credit:
        return False
    note.credit_number, note.credit_net, note.credited_at = number.strip()[:60], amount_net, timezone.now()
    note.save(update_fields=["credit_number", "credit_net", "credited_at"])
    return True


def credit_awaited() -> Decimal:
    """Return what suppliers still owe in credit notes, without tax, in whole cents."""
    waiting = GoodsNote.objects.exclude(credit_due_net=None).filter(credited_at=None)
    # SQLite adds decimals as binary fractions: whole cents come out exact again.
    return rounded(Decimal(waiting.aggregate(sum=Sum("credit_due_net"))["sum"] or 0))
