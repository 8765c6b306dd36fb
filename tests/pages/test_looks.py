"""Ready-made looks on the customer's pages: without a script, with what is said about it."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from lxml import html as markup

from configurator.builds.models import Spec
from configurator.catalogue.models import ReadyLook

from .conftest import CONTACT, Visitor

FIRST = "haldor-first-light"


@pytest.mark.long
def test_taken_by_a_plain_form_and_given_back(visitor: Visitor) -> None:
    visitor.post(**CONTACT)
    before = visitor.spec.selection
    answer = visitor.post(do=f"look:{FIRST}", keep_contact="on", **CONTACT)
    assert answer.status_code == 302
    html = visitor.page()
    assert "You took “First light”." in html
    assert re.search(r"It took the place of: [^<]*Torvik 8×18 ET50 gloss black", html)
    assert "Front calipers" not in html.split("It took the place of:")[1].split("</li>")[0], "it stays"
    assert "Your build is just this" in html
    taken = visitor.spec.selection
    assert (taken["body_finish"], taken["accent"]) == ("tarnside-green", "ember-orange")
    assert "standard-bumper" in taken["options"]
    assert visitor.spec.contact["name"] == CONTACT["name"], "nothing typed is lost"
    visitor.client.post(visitor.url, {"do": "look-back", "body_finish": "tarnside-green", **CONTACT})
    assert {**visitor.spec.selection, "options": None} == {**before, "options": None}


@pytest.mark.long
def test_a_look_that_went_meanwhile_changes_nothing_and_says_so(visitor: Visitor) -> None:
    visitor.post()
    before = visitor.spec.selection
    visitor.post(do="look:no-such-look")
    assert "not offered any more; nothing was changed" in visitor.page()
    assert visitor.spec.selection == before


@pytest.mark.long
def test_the_page_shows_what_each_comes_to_for_this_vehicle(visitor: Visitor) -> None:
    html = visitor.page()
    cards = html.split('id="s-looks"', 1)[1].split('id="s-vehicle"', 1)[0]
    assert re.findall(r'value="look:([\w-]+)"', cards) == [
        FIRST, "haldor-after-dark", "haldor-signwriter"
    ]  # fmt: skip
    assert "Accent colour: Ember orange" in cards
    priced = re.findall(r'class="look-price"><strong class="num">(€[\d,]+\.\d\d)<', cards)
    assert len(set(priced)) == 3
    visitor.post(**{"f-front-bumper": "sport-bumper"})
    assert "look:haldor-after-dark" not in visitor.page()


@pytest.mark.long
def test_a_build_begins_with_a_look_from_the_start_page(client: Client, demo_catalogue: object) -> None:
    html = client.get("/").content.decode()
    assert 'name="look" value="skarn-quarry"' in html
    url = client.post("/begin/skarn-3/", {"look": "skarn-quarry"})["Location"]
    assert Spec.objects.get().selection["front"]["wheel"] == "granvik-8.5x18-6x1397-et25-satin-black"
    assert "Quarry" in client.get(url).content.decode()
    url = client.post("/begin/skarn-3/", {"look": FIRST})["Location"]  # another vehicle's
    assert "not offered any more" in client.get(url).content.decode()


def test_the_picture_is_in_the_colour_of_the_vehicle(client: Client, demo_catalogue: object) -> None:
    plain = client.get(f"/looks/{FIRST}.svg")
    blue = client.get(f"/looks/{FIRST}.svg", {"body": "quay-blue"})
    assert plain["Content-Type"] == "image/svg+xml"
    assert plain.content != blue.content
    for odd in ("no-such", "\x00", "pearl-sand"):
        assert client.get(f"/looks/{FIRST}.svg", {"body": odd}).content == plain.content
    assert client.get(f"/looks/{FIRST}.svg", headers={"If-None-Match": plain["ETag"]}).status_code == 304
    assert client.get("/looks/no-such.svg").status_code == 404


@pytest.mark.long
def test_a_vehicle_without_looks_has_no_section(client: Client, demo_catalogue: object) -> None:
    assert not ReadyLook.objects.filter(generation__code="merle-2").exists()
    merle = Visitor(client, "merle-2")
    assert 'id="s-looks"' not in merle.page()


@pytest.mark.long
def test_an_update_in_place_says_anew_which_look_is_on(visitor: Visitor) -> None:
    visitor.post(do=f"look:{FIRST}")
    assert "Your build is just this" in visitor.page()
    answer = visitor.post(in_place=True).content.decode()
    cards = answer.split('id="live-looks"', 1)[1]
    assert f'value="look:{FIRST}"' in cards
    assert "Your build is just this" not in cards
    answer = visitor.post(in_place=True, **{"f-front-bumper": "sport-bumper"}).content.decode()
    assert "look:haldor-after-dark" not in answer.split('id="live-looks"', 1)[1], "it does not go with that"


def pressed(visitor: Visitor, shown: str, button: str) -> Any:
    """Press a button of a page as it was shown, by a plain form."""
    values: dict[str, Any] = {}
    for field in markup.fromstring(shown).get_element_by_id("build").iter("input"):
        if field.get("type") not in ("radio", "checkbox", "file") or field.get("checked") is not None:
            values.setdefault(field.get("name"), []).append(field.get("value", ""))
    return visitor.client.post(visitor.url, {**values, "do": button})


@pytest.mark.long
def test_pressed_twice_a_look_is_taken_once_and_nobody_is_told_of_another_tab(visitor: Visitor) -> None:
    visitor.post()
    before, shown = visitor.spec.selection, visitor.page()
    for _press in range(2):
        assert pressed(visitor, shown, f"look:{FIRST}").status_code == 302
    taken = visitor.spec.selection
    assert taken["front"]["wheel"] == "torvik-8x18-5x112-et50-silver"
    assert pressed(visitor, shown, "look:haldor-after-dark").status_code == 409, "that is another"
    shown = visitor.page()
    for _press in range(2):
        assert pressed(visitor, shown, "look-back").status_code == 302
    assert {**visitor.spec.selection, "finishes": 0} == {**before, "finishes": 0}, "and not forth again"
