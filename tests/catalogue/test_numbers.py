"""Two goods of one supplier never go by one number, whether live, in a draft or saved from a form."""

from __future__ import annotations

from typing import Any

from configurator.catalogue import models
from configurator.catalogue.overlay import Drafted, Overlaid, judge_row
from configurator.catalogue.plain import kind_of, live_row
from configurator.catalogue.snapshot import Catalogue
from configurator.catalogue.stored import problems_of


def two_tyres() -> list[dict[str, Any]]:
    """Two live tyres of one supplier, as plain rows."""
    supplier = models.Tyre.objects.order_by("item__code")[0].item.supplier
    codes = models.Tyre.objects.filter(item__supplier=supplier).values_list("item__code", flat=True)
    rows = [live_row(kind_of("tyres"), code) for code in sorted(codes)[:2]]
    return [row for row in rows if row is not None]


def said(row: dict[str, Any], drafted: Drafted) -> list[tuple[str, str]]:
    return judge_row(kind_of("tyres"), row, Overlaid(drafted))[1]


def test_a_row_may_not_take_a_live_number_until_a_draft_frees_it(demo: Catalogue) -> None:
    first, second = two_tyres()
    taken = {**first, "supplier_ref": second["supplier_ref"].lower()}
    assert said(first, {}) == []
    ((field, message),) = said(taken, {})
    assert field == "supplier_ref"
    assert second["code"] in message
    assert said(taken, {"tyres": {second["code"]: None}}) == []
    assert said(taken, {"tyres": {second["code"]: {**second, "supplier_ref": "Q-1"}}}) == []
    assert said(
        {**first, "supplier_ref": "q-1"}, {"tyres": {second["code"]: {**second, "supplier_ref": "Q-1"}}}
    )


def test_a_saved_row_is_told_of_the_other(demo: Catalogue) -> None:
    first, second = two_tyres()
    tyre = models.Tyre.objects.get(item__code=first["code"])
    assert list(problems_of(tyre)) == []
    models.Item.objects.filter(code=first["code"]).update(supplier_ref=second["supplier_ref"])
    assert any(second["code"] in message for message in problems_of(models.Tyre.objects.get(pk=tyre.pk)))
