"""Fifty at once on PostgreSQL leave exactly one effect, and a twin shows that the locks are why.

Run with ``DATABASE_URL`` naming a PostgreSQL database: ``pytest -m services``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Barrier
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from configurator.models import Workshop
from shop.models import (
    HistoryEntry,
    Job,
    Payment,
    PurchaseLine,
    PurchaseOrder,
    Receipt,
    Refund,
    Reservation,
    StatementFile,
    StockLevel,
)
from shop.money.refunds import decide_refund
from shop.money.service import PaymentError, account, book_payment, undo_payment
from shop.money.statements.importing import import_statement
from shop.money.statements.matching import match_by_hand
from shop.parts import placing
from shop.parts.service import NothingToOrderError, ReceiptError, place_order, receive, reserve
from tests.shop import factories, racing
from tests.shop.money.camt_samples import IBAN, statement, transfer

pytestmark = [
    pytest.mark.services,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PostgreSQL"),
]
MANY = 50
AT_ONCE = 25


def all_at_once(deed: Callable[[int], Any]) -> Counter[str]:
    refusals = (NothingToOrderError, ReceiptError, PaymentError)
    return racing.at_once(racing.done(deed), MANY, abreast=AT_ONCE, refusals=refusals)


def short_job(state: str = "deposit_in", deposit: str = "300.00") -> Job:
    return factories.job(factories.evaluation(price=factories.price(deposit=deposit)), state=state)


def actions(job: Job) -> Counter[str]:
    return Counter(HistoryEntry.objects.filter(job=job).values_list("action", flat=True))


def test_fifty_buyers_with_keys_of_their_own_order_once() -> None:
    job = short_job()

    outcomes = all_at_once(lambda n: place_order(supplier="northwheel", by=None, press=f"press-{n}"))

    assert outcomes == {"done": 1, "NothingToOrderError": MANY - 1}
    assert [line.quantity for line in PurchaseLine.objects.all()] == [Decimal(4)]
    job.refresh_from_db()
    assert (job.state, actions(job)["job.parts_ordered"]) == ("parts_on_order", 1)


def test_one_button_pressed_fifty_times_orders_once() -> None:
    short_job()

    outcomes = all_at_once(lambda n: place_order(supplier="northwheel", by=None, press="one"))

    assert outcomes == {"done": MANY}
    assert PurchaseOrder.objects.count() == 1


def test_without_the_lock_the_same_race_orders_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    """The twin: with the stock rows unlocked and the two in step, both order."""
    short_job()
    met = Barrier(2)
    plan = placing.plan_orders

    def plan_in_step(**options: Any) -> Any:
        found = plan(**options)
        met.wait(timeout=30)
        return found

    monkeypatch.setattr(placing, "lock_levels", lambda skus: {})
    monkeypatch.setattr(placing, "plan_orders", plan_in_step)

    def order(n: int) -> None:
        try:
            place_order(supplier="northwheel", by=None)
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(order, range(2)))

    assert PurchaseOrder.objects.count() == 2


def test_fifty_receipts_of_everything_book_it_once() -> None:
    job = short_job()
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()

    outcomes = all_at_once(
        lambda n: receive(order_id=order.pk, quantities={line.pk: Decimal(4)}, by=None, press=f"p{n}")
    )

    assert outcomes == {"done": 1, "ReceiptError": MANY - 1}
    assert (Receipt.objects.count(), StockLevel.objects.get().quantity) == (1, 4)
    job.refresh_from_db()
    assert (job.state, actions(job)["job.parts_in"]) == ("parts_in", 1)


def test_fifty_jobs_reserving_never_exceed_the_shelf() -> None:
    StockLevel.objects.create(sku="wheel-a", quantity=10)
    for _ in range(5):
        short_job()

    all_at_once(lambda n: reserve(skus=["wheel-a"]))

    held = list(Reservation.objects.order_by("part__job_id").values_list("quantity", flat=True))
    assert held == [Decimal(4), Decimal(4), Decimal(2)]


def test_orders_receipts_and_reservations_of_shared_items_do_not_lock_each_other_out() -> None:
    parts = tuple(factories.part(f"item-{n}") for n in range(4))
    for _ in range(4):
        factories.job(factories.evaluation(parts=parts), state="deposit_in")
    order = place_order(supplier="northwheel", by=None)
    lines = list(order.lines.all())

    def deed(n: int) -> None:
        if n % 3 == 0:
            reserve(skus=[f"item-{k}" for k in ((0, 1, 2, 3), (3, 1), (2, 0))[n % 2]])
        elif n % 3 == 1:
            line = lines[n % 4]
            receive(order_id=order.pk, quantities={line.pk: Decimal(1)}, by=None, press=f"r{n}")
        else:
            place_order(supplier="northwheel", by=None, press=f"o{n}")

    outcomes = all_at_once(deed)

    assert sum(outcomes.values()) == MANY
    came = sum(line.received for line in PurchaseLine.objects.all())
    assert came == sum(StockLevel.objects.values_list("quantity", flat=True)) == Receipt.objects.count()
    assert sum(Reservation.objects.values_list("quantity", flat=True)) == came


def workshop() -> None:
    Workshop.objects.create(name="Werkhof", tax_rate_pct=19, labour_rate_per_h=90, iban=IBAN)


def test_fifty_imports_of_one_statement_book_it_once() -> None:
    workshop()
    jobs = [short_job("deposit_due") for _ in range(3)]
    entries = [transfer("300.00", reference=job.deposit_requests.get().reference) for job in jobs]
    data = statement(*entries, transfer("9.99", text="other"))

    outcomes = all_at_once(lambda n: import_statement(name="march.xml", data=data))

    assert outcomes == {"done": MANY}
    assert (StatementFile.objects.count(), Payment.objects.count()) == (1, 3)
    for job in jobs:
        job.refresh_from_db()
        assert (job.state, account(job).held) == ("deposit_in", 300)
        assert actions(job)["job.deposit_received"] == actions(job)["money.payment_booked"] == 1


def test_fifty_overlapping_statements_book_each_movement_once() -> None:
    workshop()
    job = short_job("deposit_due")
    reference = job.deposit_requests.get().reference
    entry = transfer("300.00", reference=reference, bank_reference="B1")

    outcomes = all_at_once(lambda n: import_statement(name=f"{n}.xml", data=statement(entry, number=str(n))))

    assert outcomes == {"done": MANY}
    assert (StatementFile.objects.count(), account(job).held) == (MANY, 300)


def test_fifty_matches_by_hand_book_once() -> None:
    workshop()
    job = short_job("deposit_due")
    entry = import_statement(name="a", data=statement(transfer("300.00", text="van"))).file.entries.get()

    outcomes = all_at_once(lambda n: match_by_hand(entry_id=entry.pk, job_id=job.pk, by=None))

    assert outcomes == {"done": 1, "PaymentError": MANY - 1}
    assert account(job).held == 300


def test_fifty_presses_of_payment_undoing_and_refund_are_one_each() -> None:
    job = short_job("deposit_due")
    today = timezone.localdate()
    paid = {"job_id": job.pk, "amount": Decimal(300), "received_on": today, "method": "card", "by": None}

    assert all_at_once(lambda n: book_payment(**paid, press="k")) == {"done": MANY}
    book_payment(**paid | {"amount": Decimal(100)}, press="too much")
    refund = {"job_id": job.pk, "amount": Decimal(100), "why": "policy", "press": "r"}
    clerk = factories.staff("manager")
    assert all_at_once(lambda n: decide_refund(**refund, by=clerk)) == {"done": MANY}
    payment = Payment.objects.get(press="k")
    assert all_at_once(lambda n: undo_payment(payment_id=payment.pk, by=None, note="")) == {"done": MANY}

    assert (account(job).paid, Refund.objects.get().amount) == (100, 100)
