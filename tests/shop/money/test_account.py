"""Where a job's money stands, by hand, in every state of the job and at every border between two words."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from shop.jobs.states import State
from shop.models import DepositRequest
from shop.money.account import Account

TODAY, SINCE, DUE = date(2026, 3, 20), date(2026, 3, 10), date(2026, 3, 15)
BEFORE = ("sent", "in_review", "waiting", "agreed")
DEPOSIT = ("deposit_due", "deposit_in", "parts_on_order", "parts_in", "booked", "in_the_bay")
WHOLE = ("ready", "handed_over")
OFF = ("declined", "cancelled")


def account(state: str = "deposit_due", *, paid: str = "0", deposit: str = "300", **changes: Any) -> Account:
    """Return the account of a job of 1190.00 with a deposit of 300.00, due on 15 March, seen on the 20th."""
    fields: dict[str, Any] = {
        "request": DepositRequest(amount=Decimal(deposit), total=Decimal(1190), due_on=DUE),
        "job_state": state,
        "price": Decimal(1190),
        "owed": Decimal(0),
        "paid": Decimal(paid),
        "refunded": Decimal(0),
        "since": SINCE,
        "today": TODAY,
    }
    return Account(**(fields | changes))


def test_every_state_is_looked_at_here() -> None:
    assert {*BEFORE, *DEPOSIT, *WHOLE, *OFF} == set(State.values)


@pytest.mark.parametrize("state", State.values)
def test_what_should_be_here_by_now(state: str) -> None:
    now = account(state, paid="100", owed=Decimal(80))
    if state in OFF:
        assert (now.asked, now.outstanding, now.over, now.rest) == (80, 0, 20, 0)
    elif state in WHOLE:
        assert (now.asked, now.outstanding, now.over, now.rest) == (1190, 1090, 0, 1090)
    else:
        assert (now.asked, now.outstanding, now.over, now.rest) == (300, 200, 0, 1090)
    assert now.is_asked == (state not in BEFORE)
    assert now.is_balance == (state in WHOLE)


def test_a_deposit_is_never_more_than_the_price() -> None:
    assert account(price=Decimal(250)).deposit == 250
    assert account().deposit == 300
    assert account(request=None).deposit == 0


def test_refunds_are_not_held() -> None:
    now = account(paid="500", refunded=Decimal(120))
    assert (now.held, now.outstanding, now.over, now.rest) == (380, 0, 80, 810)
    bounced = account(paid="0", refunded=Decimal(120))
    assert (bounced.held, bounced.outstanding, bounced.over) == (-120, 420, 0)


@pytest.mark.parametrize(("paid", "covered"), [("299.99", False), ("300", True), ("300.01", True)])
def test_a_deposit_is_there_to_the_cent(paid: str, covered: bool) -> None:
    assert account(paid=paid).covered is covered
    assert account(paid=paid, request=None).covered is False


@pytest.mark.parametrize(
    ("state", "paid", "word"),
    [
        ("deposit_due", "0", "overdue"),
        ("deposit_due", "299.99", "overdue"),
        ("deposit_due", "300", "paid"),
        ("deposit_due", "300.01", "overpaid"),
        ("ready", "300", "part paid"),
        ("ready", "0", "open"),
        ("ready", "1190", "paid"),
        ("handed_over", "1189.99", "overdue"),
        ("cancelled", "0", "paid"),
        ("cancelled", "0.01", "overpaid"),
    ],
)
def test_one_word_for_lists(state: str, paid: str, word: str) -> None:
    assert account(state, paid=paid).state == word


def test_before_its_day_it_is_open_and_with_a_part_of_it_part_paid() -> None:
    assert [account(paid=paid, today=DUE).state for paid in ("0", "0.01", "-5")] == [
        "open",
        "part paid",
        "open",
    ]
    assert account(request=None).state == "none"


@pytest.mark.parametrize(
    ("state", "owed", "due"),
    [
        ("agreed", "0", DUE),
        ("deposit_due", "0", DUE),
        ("ready", "0", SINCE),
        ("handed_over", "0", SINCE),
        ("cancelled", "80", SINCE),
        ("cancelled", "0", None),
    ],
)
def test_the_day_by_which_it_should_be_here(state: str, owed: str, due: date | None) -> None:
    assert account(state, owed=Decimal(owed)).due_on == due
    assert account(state, owed=Decimal(owed), request=None).due_on is None


def test_it_is_overdue_the_day_after_and_a_balance_only_once_handed_over() -> None:
    assert [account(today=DUE + timedelta(days=n)).is_overdue for n in (-1, 0, 1)] == [False, False, True]
    assert [account(state, today=SINCE + timedelta(days=1)).is_overdue for state in WHOLE] == [False, True]
    assert account(paid="300").is_overdue is False


@pytest.mark.parametrize(
    ("state", "paid", "owed", "is_open"),
    [
        ("sent", "0", "0", False),
        ("sent", "5", "0", True),
        ("agreed", "-5", "0", True),
        ("deposit_due", "0", "0", True),
        ("in_the_bay", "300", "0", True),
        ("ready", "1190", "0", True),
        ("handed_over", "1190", "0", False),
        ("handed_over", "1189", "0", True),
        ("handed_over", "1191", "0", True),
        ("declined", "0", "0", False),
        ("cancelled", "50", "50", False),
        ("cancelled", "50", "80", True),
        ("cancelled", "50", "0", True),
    ],
)
def test_what_someone_should_see_in_the_list_of_money(
    state: str, paid: str, owed: str, is_open: bool
) -> None:
    assert account(state, paid=paid, owed=Decimal(owed)).is_open is is_open


def test_a_job_without_a_request_is_not_in_the_list_unless_it_is_over_and_unsettled() -> None:
    assert account(paid="5", request=None).is_open is False
    assert account("cancelled", paid="5", request=None).is_open is True
