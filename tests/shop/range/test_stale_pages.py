"""Pages that were open while others went on: nothing goes live, or away, that was not looked at."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from configurator.catalogue import drafts, models
from configurator.catalogue.snapshot import Catalogue
from shop.models import PriceLayout, PriceList
from shop.range import list_reading
from tests.shop import factories

pytestmark = pytest.mark.django_db
WHEEL, TYRE = "torvik-6.5x16-5x112-et50-silver", "haul-225-50r18c-108-106t"
State = PriceList.State


@pytest.fixture
def manager(client: Client, demo_catalogue: Catalogue) -> Client:
    client.force_login(factories.staff("manager", name="anke"))
    return client


def priced(kind: str, key: str, price: str) -> None:
    now = drafts.look(drafts.shared(), kind, key).now
    assert now is not None
    drafts.keep(kind=kind, key=key, data={**now, "unit_price": price}, by=None)


@pytest.mark.long
@pytest.mark.parametrize("deed", ["range_put_live", "range_throw_away"])
def test_a_draft_that_grew_is_looked_at_before_it_ends(manager: Client, deed: str) -> None:
    priced("wheels", WHEEL, "205")
    seen = manager.get(reverse("shop:range_draft")).context["seen"]
    priced("tyres", TYRE, "1")  # a colleague, half-way through
    answer = manager.post(reverse(f"shop:{deed}"), {"seen": seen, "title": "Räder"})
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "The draft was changed since you opened this page." in page
    assert 'value="Räder"' in page
    assert models.Item.objects.get(code=TYRE).unit_price > 1
    draft = drafts.shared()
    assert draft is not None
    assert draft.rows.count() == 2

    assert manager.post(reverse(f"shop:{deed}"), {"seen": answer.context["seen"]}).status_code == 302
    assert drafts.shared() is None


def test_a_list_is_confirmed_as_it_was_looked_at(manager: Client, layout: PriceLayout) -> None:
    data = b"Artikelnummer;Listenpreis;Rabattgruppe\r\nHA20565R16C;105,00;A\r\n"
    for name in ("one", "other"):
        PriceList.objects.create(supplier="nordholt", name=name, data=data)
    layout.columns = {"ref": "Artikelnummer", "cost": "Listenpreis", "group": "Rabattgruppe"}
    layout.save()
    one, other = PriceList.objects.order_by("pk")
    for found in (one, other):
        read(found)
    page = manager.get(reverse("shop:range_list", args=[one.pk]))
    seen = f'name="seen" value="{page.context["list"].tries}"'
    assert seen in page.content.decode()

    # Elsewhere the discount is changed for the other list of the same supplier: both are read anew.
    form = manager.get(reverse("shop:range_columns", args=[other.pk])).context["form"]
    sent = {one.html_name: value for one in form if (value := one.value()) is not None and value is not False}
    answer = manager.post(
        reverse("shop:range_columns", args=[other.pk]),
        {**sent, "groups": "A 50\nB 0", "markups": "* 0 60", "step": "0.10"},
    )
    assert answer.status_code == 302
    one.refresh_from_db()
    assert one.state == State.READING
    list_reading.read_list({"list": one.pk})
    assert one.lines.get(verdict="changed").cost_after == 105 / 2

    tries = {"seen": page.context["list"].tries}
    said = manager.post(reverse("shop:range_confirm", args=[one.pk]), tries, follow=True)
    assert "was read anew since" in said.content.decode()
    one.refresh_from_db()
    assert one.state == State.READY
    manager.post(reverse("shop:range_confirm", args=[one.pk]), {"seen": said.context["list"].tries})
    one.refresh_from_db()
    assert one.state == State.CONFIRMED


def read(found: Any) -> None:
    list_reading.ask_to_read(found.pk)
    list_reading.read_list({"list": found.pk})
    found.refresh_from_db()
    assert found.state == State.READY
