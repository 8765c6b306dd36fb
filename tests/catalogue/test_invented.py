"""What the demonstration invents must be nobody's: numbers, places, colours."""

from __future__ import annotations

import csv
import json
import re

import pytest
from django.conf import settings

FIXTURES = settings.BASE_DIR / "fixtures"

# Bundesnetzagentur, Mitteilung 148/2021, Amtsblatt 7/2021 p. 489: numbers for productions of the media, given
# to nobody. Of the mobile ranges only the one that is used here (from memory).
FICTION = re.compile(r"\+49 (30 23125|69 90009|40 66969|221 4710|89 99998) \d{3}|\+49 171 39200 \d{2}")

# RAL Classic's English names whose shape our own names have (colour after a thing); from memory.
REGISTER = """
green beige, sand yellow, signal yellow, golden yellow, honey yellow, maize yellow, daffodil yellow,
lemon yellow, oyster white, sulfur yellow, saffron yellow, zinc yellow, olive yellow, rape yellow,
traffic yellow, ochre yellow, curry, melon yellow, broom yellow, dahlia yellow, pastel yellow, sun
yellow, pearl orange, deep orange, salmon orange, flame red, signal red, carmine red, ruby red, wine
red, oxide red, brown red, beige red, tomato red, coral red, strawberry red, raspberry red, heather
violet, claret violet, signal violet, violet blue, green blue, ultramarine blue, sapphire blue, signal
blue, brilliant blue, azure blue, gentian blue, steel blue, light blue, cobalt blue, pigeon blue, sky
blue, traffic blue, turquoise blue, capri blue, ocean blue, water blue, night blue, distant blue, pastel
blue, patina green, emerald green, leaf green, olive green, moss green, bottle green, fir green, grass
green, reed green, opal green, turquoise green, may green, fern green, mint green, pine green, squirrel
grey, silver grey, moss grey, mouse grey, beige grey, khaki grey, iron grey, basalt grey, slate grey,
anthracite grey, umbra grey, concrete grey, graphite grey, granite grey, stone grey, pebble grey, cement
grey, platinum grey, agate grey, quartz grey, window grey, dusty grey, telegrey, ochre brown, clay
brown, copper brown, fawn brown, nut brown, chestnut brown, mahogany brown, chocolate brown, terra
brown, cream, grey white, signal white, traffic white, pure white, papyrus white, pearl mouse grey,
pearl copper, jet black, graphite black, signal black, traffic black, tar black
"""


def rows(name):
    with (FIXTURES / "catalogue" / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_telephone_numbers_are_set_aside_for_fiction():
    texts = [(FIXTURES / "catalogue" / "workshop.toml").read_text("utf-8")]
    texts += [path.read_text("utf-8") for path in (FIXTURES / "specs").glob("*.json")]
    numbers = [number for text in texts for number in re.findall(r"\+\d[\d ]{6,}\d", text)]
    assert len(numbers) >= 2
    assert [number for number in numbers if not FICTION.fullmatch(number)] == []


def test_no_district_has_the_registrations_of_the_examples():
    # No distinguishing mark of a German district begins with X (FZV, annex 1; from memory).
    found = [json.loads(p.read_text("utf-8"))["contact"] for p in (FIXTURES / "specs").glob("*.json")]
    marks = [one["registration"] for one in found if one.get("registration")]
    assert marks
    assert all(re.match(r"X[A-Z]{1,2} ", mark) for mark in marks)


def test_suppliers_are_where_no_postcode_is():
    # German postcodes begin with 01 (Deutsche Post's list of regions; from memory): none with 00.
    assert {row["postcode"][:2] for row in rows("suppliers.csv")} == {"00"}
    assert len({row["town"] for row in rows("suppliers.csv")}) == len(rows("suppliers.csv"))
    assert all(row["email"].endswith(".example") for row in rows("suppliers.csv"))  # RFC 2606


def test_no_colour_is_named_as_in_a_register():
    register = {name.strip() for name in REGISTER.replace("\n", " ").split(",")}
    ours = {row["name"].casefold() for row in rows("finishes.csv")}
    assert len(register) > 90
    assert not ours & register


# Bolt circle with hub spigot that makers of vehicles use together; common practice, no source.
USUAL_HUBS = {
    ("5", "120"): {72.6, 65.1, 74.1, 67.1, 64.1, 70.1},
    ("6", "139.7"): {106.1, 106.2, 93.1, 100.1, 100.3, 67.1, 78.1, 92.5, 95.3, 77.8, 110.1},
}


@pytest.mark.parametrize("row", rows("axles.csv"), ids=lambda row: f"{row['generation']} {row['position']}")
def test_no_axle_row_has_the_hub_of_a_real_vehicle(row):
    """The vehicles whose bolt circle belongs to a few real ones have a spigot that none of these has."""
    usual = USUAL_HUBS.get((row["bolt_count"], row["bolt_circle_mm"]), set())
    assert not usual or float(row["spigot_diameter_mm"]) not in usual
    if (row["bolt_circle_mm"], row["seat"]) == ("112", "ball13"):  # common with spigots 57.1, 66.5 and 66.6
        assert float(row["spigot_diameter_mm"]) not in {57.1, 66.5, 66.6}
