"""``manage.py setup``: an empty site made ready, with or without the demonstration's catalogue."""

from __future__ import annotations

import re
from io import StringIO

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client

from configurator.catalogue import snapshot
from configurator.catalogue.models import Generation, Item, Option, Supplier, Wheel, Workshop
from configurator.catalogue.snapshot import Catalogue
from shop.opening.models import SiteState
from shop.opening.selectors import is_borrowed

pytestmark = pytest.mark.django_db


def setup(**options: object) -> str:
    out = StringIO()
    snapshot.forget()
    call_command("setup", stdout=out, **options)
    return out.getvalue()


@pytest.mark.long
def test_it_invites_the_first_manager_and_lists_what_is_missing() -> None:
    said = setup(email="chefin@werk.example")
    link = re.search(r"(/sign-in/set/\S+)", said)
    assert link
    assert Client().get(link[1], follow=True).status_code == 200
    assert "The account that deposits are paid to." in said
    assert Client().get("/").status_code == 503
    again = setup()
    assert "/sign-in/set/" not in again
    assert User.objects.count() == 1


def test_without_an_address_it_says_what_it_needs() -> None:
    with pytest.raises(CommandError, match="--email"):
        setup()


@pytest.mark.long
def test_the_demonstrations_prices_are_looked_at_before_customers_see_them() -> None:
    assert "The prices are the demonstration’s" in setup(email="chefin@werk.example", from_demo=True)
    client, step = Client(), "/workshop/settings/catalogue/"
    client.force_login(User.objects.get())
    client.post("/workshop/settings/site/open/")
    assert SiteState.objects.get().opened_at is None
    assert "I have looked at the prices" in client.get(step).content.decode()
    client.post(step)
    assert not is_borrowed(SiteState.objects.get())
    assert "I have looked at the prices" not in client.get(step).content.decode()


def test_an_own_catalogue_is_not_asked_about_its_prices() -> None:
    assert "The prices are the demonstration’s" not in setup(email="chefin@werk.example")


@pytest.mark.long
def test_from_the_demonstration_without_its_names(demo_catalogue_names: set[str]) -> None:
    setup(email="chefin@werk.example", from_demo=True)
    assert not Generation.objects.exists()
    assert not Wheel.objects.exists()
    assert Option.objects.count() > 20
    assert Item.objects.count() > 200
    texts = [
        *Item.objects.values_list("name", flat=True),
        *Supplier.objects.values_list("name", flat=True),
        *Option.objects.values_list("name", flat=True),
        *Option.objects.values_list("summary", flat=True),
    ]
    left = {name for name in demo_catalogue_names for text in texts if re.search(rf"\b{name}", text)}
    assert left == set()
    assert not Supplier.objects.exclude(email="").exists(), "no order may go to an invented address"
    workshop = Workshop.objects.get()
    assert (workshop.name, workshop.iban, workshop.terms) == ("", "", "")


@pytest.fixture
def demo_catalogue_names(catalogue: Catalogue) -> set[str]:
    names = {row.maker.name for row in catalogue.generations.values()}
    names |= {row.name.split()[0] for row in catalogue.generations.values()}
    names |= {row.name for row in catalogue.suppliers.values()}
    return names | {row.maker for row in (*catalogue.wheels.values(), *catalogue.tyres.values())}


def test_a_start_from_the_demonstration_mixes_with_nothing(demo_catalogue: Catalogue) -> None:
    before = Workshop.objects.get()
    with pytest.raises(CommandError, match="already"):
        setup(email="chefin@werk.example", from_demo=True)
    assert Workshop.objects.get().name == before.name
