"""A walk in German through every page of the office: catalogue, price lists, vehicles, settings, accounts."""

from __future__ import annotations

from itertools import chain
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from configurator.catalogue.snapshot import Catalogue
from shop.models import PriceLine, PriceList
from shop.range.list_cells import FAULTS
from tests.shop import factories
from tests.shop.office import furnish
from tests.walk.english import left_over, texts_of

pytestmark = pytest.mark.django_db
# The page of texts and the one of terms show the catalogue's own language beside the others.
ENGLISH_TOO = ("/settings/terms/", "/texts/")
# Codes of recipes, shown beside their names.
CODES = frozenset({"job", "wheels", "tyres", "spacers"})


@pytest.fixture
def anke(demo_catalogue: Catalogue) -> Any:
    return factories.staff("manager", "reviewer", name="anke")


@pytest.fixture
def office(anke: Any) -> Client:
    client = Client(HTTP_ACCEPT_LANGUAGE="de")
    client.force_login(anke)
    return client


@pytest.mark.long
def test_every_page_of_the_office(office: Client, anke: Any) -> None:
    found = {}
    for address in chain(*furnish(anke).values()):
        answer = office.get(address)
        assert answer.status_code == 200, address
        if not any(part in address for part in ENGLISH_TOO):
            texts = left_over(texts_of(answer.content.decode()))
            found[address] = [text for text in texts if text not in CODES]
    assert len(found) > 60
    wrong = "\n".join(f"{address}: {text}" for address, texts in found.items() for text in texts)
    assert not wrong, wrong


@pytest.mark.long
def test_a_price_list_in_every_state_with_every_verdict_and_reason(office: Client, anke: Any) -> None:
    furnish(anke)
    row = PriceList.objects.get(name="ready.csv")
    found = {}
    reasons = ("no_ref", "no_cost", "currency", "unit", "per", "group", "too_much", "twice", "no_name",
               "no_price", "meanwhile", "taken", "used")  # fmt: skip
    for number, why in enumerate(reasons):
        PriceLine.objects.create(list=row, number=number, ref="X1", why=why, verdict="bad", figure="3")
    for state in PriceList.State:
        PriceList.objects.filter(pk=row.pk).update(state=state, rows_total=40, rows_read=10)
        for verdict in PriceLine.Verdict.values:
            address = f"{reverse('shop:range_list', args=[row.pk])}?verdict={verdict}"
            found[f"{state} {verdict}"] = left_over(texts_of(office.get(address).content.decode()))
    for problem in FAULTS:
        PriceList.objects.filter(pk=row.pk).update(state="failed", problem=problem, figure="Preis")
        address = reverse("shop:range_list", args=[row.pk])
        found[problem] = left_over(texts_of(office.get(address).content.decode()))
    lists = reverse("shop:range_lists")
    columns = reverse("shop:range_columns", args=[row.pk])
    found["nothing handed in"] = left_over(texts_of(office.post(lists).content.decode()))
    found["nothing matched"] = left_over(texts_of(office.post(columns, {"rate": "x"}).content.decode()))
    wrong = "\n".join(f"{name}: {text}" for name, texts in found.items() for text in texts)
    assert not wrong, wrong
