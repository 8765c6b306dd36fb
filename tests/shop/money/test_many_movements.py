"""A long statement: few queries, and every movement judged as it would be alone."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from shop.models import Refund, StatementEntry
from shop.money.statements.deciding import decide
from shop.money.statements.importing import import_statement, preview

from .camt_samples import statement, transfer
from .transfers import due, make_workshop, reference

pytestmark = pytest.mark.django_db
MANY = 400


@pytest.fixture
def data(db: None) -> bytes:
    """Many movements that name nothing, among them some of every kind that do, or wait, or went out."""
    make_workshop()
    first, second = due(), due()
    plain = [transfer(f"{n}.00", text=f"Rechnung {n}", name=f"Käufer {n}") for n in range(1, MANY)]
    near = reference(second)[:-1] + ("1" if reference(second)[-1] != "1" else "2")
    others = [
        transfer("300.00", text=reference(first)),
        transfer("300.00", text=near),
        transfer("12.00", direction="DBIT", text="Miete"),
        transfer("13.00", text="von morgen", day="2199-01-01"),
        transfer("14.00", currency="CHF", text="fremd"),
        transfer("15.00", direction="DBIT", reversal=True, text="Rücklastschrift"),
        transfer("16.00", reversal=True, text="zurück"),
    ]
    return statement(*plain[: MANY // 2], *others, *plain[MANY // 2 :])


@pytest.mark.long
def test_a_long_statement_asks_the_database_little(data: bytes, django_assert_max_num_queries: Any) -> None:
    with django_assert_max_num_queries(60):
        looked_at = preview(data)
    with django_assert_max_num_queries(160):
        file = import_statement(name="long", data=data).file
    kept = list(file.entries.order_by("pk"))
    assert len(kept) == len(looked_at.rows) == MANY + 6
    assert [row.decision.reason for row in looked_at.rows if row.decision] == [one.reason for one in kept]
    assert {one.reason for one in kept} == {
        "by_reference", "near", "went_out", "later", "currency", "reversal", "came_back", "no_reference",
    }  # fmt: skip
    assert Refund.objects.count() == 0
    assert sum(one.payments.count() for one in kept) == 1


@pytest.mark.long
def test_each_is_judged_as_it_would_be_alone(data: bytes) -> None:
    file = import_statement(name="long", data=data).file
    for entry in file.entries.exclude(state="matched"):
        alone = decide(entry)
        assert (entry.reason, entry.values) == (alone.reason, alone.values)
        assert (entry.state == StatementEntry.State.SET_ASIDE) == (alone.act == "aside")
        assert entry.match_on == (entry.booked_on if alone.act == "later" else None)
    booked = file.entries.get(state="matched")
    assert booked.payments.get().amount == Decimal(300)
