"""Goods in: receipts in part or more than ordered, what is not coming, and what follows for the jobs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from shop.jobs.press import USED

from .demand import open_claims
from .models import GoodsNote, PurchaseLine, PurchaseOrder, Receipt, ReceiptLine
from .progress import promise_progress
from .quantities import NOTHING
from .stock import Reason, change, lock_levels, reserve

KEEP, BACK = "keep", "back"
"""What is done with what came beyond the order."""
SURPLUS = {KEEP: GoodsNote.What.KEPT, BACK: GoodsNote.What.SURPLUS_BACK}


class ReceiptError(ValueError):
    """The receipt cannot be booked; ``lines`` has a message for each order line by its primary key."""

    def __init__(self, message: str, lines: Mapping[int, str] | None = None) -> None:
        super().__init__(message)
        self.lines = dict(lines or {})


@transaction.atomic
def receive(
    *,
    order_id: int,
    quantities: Mapping[int, Decimal],
    by: Any,
    press: str = "",
    delivery_note: str = "",
    surplus: str = "",
    seen: Mapping[int, Decimal] | None = None,
) -> Receipt:
    """Book what came in, by primary key of the order line, and reserve it for whoever needs it first.

    ``press`` makes booking the same form twice one receipt. ``seen`` is what the page showed as open of each
    line: what a colleague has booked since is not booked once more. ``surplus`` says what happens with
    what came beyond the order: ``keep`` puts it on the shelf, ``back`` notes that it goes back. Raises
    ``ReceiptError`` when nothing came, or more than is open and nobody said what happens with it.
    """
    order = PurchaseOrder.objects.select_for_update().get(pk=order_id)
    before = Receipt.objects.filter(press=press).first() if press else None
    lines = {line.pk: line for line in order.lines.all()}
    came = {pk: quantity for pk, quantity in quantities.items() if quantity}
    if before:
        if _content(before) != (order_id, came, delivery_note[:60]):
            raise ReceiptError(str(USED))
        return before
    _check_seen(lines, came, seen or {})
    _check(lines, came, surplus)
    options = {"press": press} if press else {}
    receipt = Receipt.objects.create(order=order, by=by, delivery_note=delivery_note[:60], **options)
    skus = {lines[pk].sku for pk in came}
    lock_levels(skus)
    for pk, quantity in came.items():
        _book(receipt, lines[pk], quantity, by, surplus)
    set_state(order)
    promise_progress(reserve(skus=skus), f"receipt-{receipt.pk}")
    return receipt


def _content(receipt: Receipt) -> tuple[int, dict[int, Decimal], str]:
    """Return what a receipt says came in all, by order line."""
    came: dict[int, Decimal] = defaultdict(Decimal)
    for rows in (receipt.lines.all(), receipt.goods_notes.filter(what__in=SURPLUS.values())):
        for line_id, quantity in rows.values_list("line", "quantity"):
            came[line_id] += quantity
    return receipt.order_id, dict(came), receipt.delivery_note


def _check_seen(
    lines: Mapping[int, PurchaseLine], came: Mapping[int, Decimal], seen: Mapping[int, Decimal]
) -> None:
    wrong = {
        pk: _("%(open)s are open on this line by now: goods were booked in since you opened the page.")
        % {"open": f"{lines[pk].open.normalize():f}"}
        for pk in came
        if pk in lines and seen.get(pk, lines[pk].open) != lines[pk].open
    }
    if wrong:
        raise ReceiptError(_("Nothing was booked: look whether it is in already."), wrong)


def _check(lines: Mapping[int, PurchaseLine], came: Mapping[int, Decimal], surplus: str) -> None:
    if not came:
        raise ReceiptError(_("Enter the quantity that came for at least one line."))
    wrong, over = {}, False
    for pk, quantity in came.items():
        line = lines.get(pk)
        if line is None:
            raise ReceiptError(_("That line is not on this order."))
        if quantity < 0:
            wrong[pk] = _("A quantity cannot be negative.")
        elif quantity > line.open and surplus not in SURPLUS:
            unit = "" if line.unit == "each" else f" {line.unit}"
            over = True
            wrong[pk] = _("Only %(open)s are still open on this line.") % {
                "open": f"{line.open.normalize():f}{unit}"
            }
    if wrong:
        said = _("Nothing was booked: look at the lines marked below.")
        more = _("If more came than was ordered, say what happens with it.") if over else ""
        raise ReceiptError(f"{said} {more}".strip(), wrong)


def _book(receipt: Receipt, line: PurchaseLine, quantity: Decimal, by: Any, surplus: str) -> None:
    """Count what was ordered as received; what came beyond it is kept or not, and noted."""
    ordered = min(quantity, line.open)
    over = quantity - ordered
    if ordered > 0:
        ReceiptLine.objects.create(receipt=receipt, line=line, quantity=ordered)
        line.received += ordered
        line.save(update_fields=["received"])
    if over > 0:
        GoodsNote.objects.create(
            line=line, receipt=receipt, press=receipt.press, what=SURPLUS[surplus], quantity=over, by=by
        )
    to_shelf = quantity if surplus == KEEP else ordered
    if to_shelf > 0:
        change(sku=line.sku, quantity=to_shelf, reason=Reason.RECEIVED, by=by, note=receipt.order.number)


@transaction.atomic
def close_line(*, order_id: int, line_id: int, why: str) -> PurchaseLine:
    """Record that the rest of a line is not coming; what jobs lack is then short again.

    Raises ``ReceiptError`` without a reason or when nothing is open.
    """
    order = PurchaseOrder.objects.select_for_update().get(pk=order_id)
    line = order.lines.get(pk=line_id)
    if not why.strip():
        raise ReceiptError(
            _("Say why the rest is not coming."), {line_id: _("Say why the rest is not coming.")}
        )
    if line.open <= 0:
        raise ReceiptError(_("Nothing is open on this line."), {line_id: _("Nothing is open on this line.")})
    line.not_coming = why.strip()[:200]
    line.save(update_fields=["not_coming"])
    set_state(order)
    promise_progress({claim.part.job_id for claim in open_claims([line.sku])}, f"closed-{line.pk}")
    return line


def set_state(order: PurchaseOrder) -> None:
    """Derive the order's state from its lines."""
    lines = list(order.lines.all())
    if all(line.open <= 0 for line in lines):
        order.state = PurchaseOrder.State.CLOSED
    elif any(line.received > NOTHING for line in lines):
        order.state = PurchaseOrder.State.PART_RECEIVED
    else:
        order.state = PurchaseOrder.State.PLACED
    order.save(update_fields=["state"])
