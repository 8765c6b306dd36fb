"""A price list taken back: goods as they were, what it added gone, what was changed since left alone."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from configurator.catalogue import history, models
from configurator.catalogue.snapshot import Catalogue
from configurator.models import OutboxEntry
from shop.range import list_applying, list_back, progress
from shop.range.models import PriceLayout, PriceList
from tests.shop import factories

from .test_price_lists import as_csv, handed_in, put_live

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _nothing_under_way() -> None:
    cache.clear()


@pytest.fixture
def anke() -> Any:
    return factories.staff("manager", name="anke")


@pytest.fixture
def live(demo_catalogue: Catalogue, layout: PriceLayout, anke: Any) -> PriceList:
    found = handed_in(as_csv())
    put_live(found, anke)
    return found


@pytest.fixture
def office(anke: Any) -> Client:
    client = Client()
    client.force_login(anke)
    return client


def goods() -> dict[str, Any]:
    """What the supplier's goods cost, and whether they are offered."""
    rows = models.Item.objects.filter(supplier__code="nordholt").order_by("code")
    return {
        code: tuple(told) for code, *told in rows.values_list("code", "unit_cost", "unit_price", "retired")
    }


def address(found: PriceList) -> str:
    return reverse("shop:range_take_back", args=[found.release_id])


@pytest.mark.long
def test_everything_is_as_it_was_and_noted(
    demo_catalogue: Catalogue,
    layout: PriceLayout,
    anke: Any,
    office: Client,
) -> None:
    before = goods()
    found = handed_in(as_csv())
    put_live(found, anke)
    assert goods() != before
    assert office.post(address(found)).status_code == 302
    assert goods() == before
    newest = history.releases()[0]
    assert (newest.origin, newest.takes_back, newest.by) == ("back", found.release, anke)
    assert newest.changes.count() == found.release.changes.count()  # type: ignore[union-attr]
    # Pressed again there is nothing left to take back.
    office.post(address(found))
    assert history.releases()[0] == newest


@pytest.mark.long
def test_what_was_changed_since_is_named_and_nothing_is_taken_back(live: PriceList, office: Client) -> None:
    models.Item.objects.filter(supplier_ref="HA20565R16C").update(unit_price=Decimal("199"))
    before = goods()
    answer = office.post(address(live))
    assert answer.status_code == 422
    assert "This was changed again since" in answer.content.decode()
    assert goods() == before


@pytest.mark.long
def test_what_was_added_and_is_needed_by_now_stays(live: PriceList, office: Client) -> None:
    item = models.Item.objects.get(supplier_ref="NEW1")
    models.Option.objects.filter(pk=models.Option.objects.exclude(kind="fact")[0].pk).update(item=item)
    answer = office.post(address(live))
    assert answer.status_code == 422
    assert "need it by now" in answer.content.decode()
    assert models.Item.objects.filter(pk=item.pk).exists()


@pytest.mark.long
def test_a_long_list_is_taken_back_beside_the_request_once(
    live: PriceList, office: Client, monkeypatch: Any
) -> None:
    monkeypatch.setattr(list_back, "AT_ONCE", 0)
    after = goods()
    for _ in range(2):
        answer = office.post(address(live), follow=True)
        assert "is being taken back" in answer.content.decode()
    (promised,) = OutboxEntry.objects.filter(kind=list_back.KIND)
    assert goods() == after
    list_back.take_promised_list_back(promised.payload)
    assert goods() != after
    newest = history.releases()[0]
    list_back.take_promised_list_back(promised.payload)
    assert history.releases()[0] == newest
    assert progress.percent(list_back.KIND, live.release_id or 0) == 100


def test_how_far_a_list_is_that_goes_live_is_told(layout: PriceLayout, office: Client) -> None:
    found = handed_in(as_csv())
    assert list_applying.confirm(list_id=found.pk, by=None)
    page = reverse("shop:range_list", args=[found.pk])
    assert "<progress" not in office.get(page).content.decode()
    progress.noted(list_applying.LIVE, found.pk, 3, 12)
    assert 'value="25"' in office.get(page, HTTP_HX_REQUEST="true").content.decode()
    list_applying.put_list_live({"list": found.pk})
    assert progress.percent(list_applying.LIVE, found.pk) == 100
