"""The lists of parts: everything in a large catalogue is reached, with and without script."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from django.utils.translation import override

from configurator.builds import listing
from configurator.builds.selection import Selection
from configurator.models import Wheel
from configurator.pages.forms_lists import ListForm

from .conftest import WHEEL, Visitor
from .growth import grow

HTMX = {"HX-Request": "true"}


def offered(html: str, name: str = "wheel") -> list[str]:
    """The codes that a list offers, what it keeps among them."""
    found = html.split(f'id="list-{name}"', 1)[1].split("</fieldset>")[0]
    return re.findall(rf'type="radio" name="{name}" value="([^"]*)"', found)


def ask(visitor: Visitor, name: str = "wheel", **asked: Any) -> str:
    """Ask for one list as a script does."""
    data = {f"{name}-{key}": value for key, value in asked.items()}
    answer = visitor.client.get(f"{visitor.url}list/{name}/", data, headers=HTMX)
    assert answer.status_code == 200
    return str(answer.content.decode())


@pytest.mark.long
def test_every_wheel_of_a_large_catalogue_is_reached(visitor: Visitor) -> None:
    grow(20)
    pages: list[str] = []
    for page in range(1, 100):
        html = ask(visitor, show="all", page=page)
        pages += [code for code in offered(html) if code]
        if 'id="after-wheel"' not in html:
            break
    known = int(re.search(r"of (\d+) that go on this hub", html)[1])  # type: ignore[index]
    assert len(pages) == len(set(pages)) == known > 200
    # The rest is said, with its bolt circles, and adds up to the cars' wheels.
    others = int(re.search(r"(\d+) wheels have another bolt circle", html)[1])  # type: ignore[index]
    assert others + known == Wheel.objects.filter(vehicle_class="car").count()


def test_filters_leave_what_was_asked_for_and_say_how_many(visitor: Visitor) -> None:
    html = ask(visitor, diameter="18", show="all")
    codes = [code for code in offered(html) if code]
    rows = Wheel.objects.filter(item__code__in=codes)
    assert {row.diameter_in for row in rows} == {18.0}
    assert f"{len(codes)} wheels of" in html
    assert f"18 inch ({len(codes)})" in html
    cheap = ask(visitor, diameter="18", show="all", most="300", sort="price")
    prices = [Wheel.objects.get(item__code=c).item.unit_price for c in offered(cheap) if c]
    assert prices == sorted(prices)
    assert 0 < len(prices) < len(codes)
    assert max(prices) <= 300


@pytest.mark.long
def test_what_is_chosen_stays_where_a_filter_would_hide_it(visitor: Visitor) -> None:
    visitor.post()
    html = ask(visitor, diameter="16")
    assert WHEEL in offered(html)
    assert re.search(rf'value="{WHEEL}"[^>]* checked', html)


@pytest.mark.long
def test_without_script_a_filter_keeps_the_build_and_comes_back_to_the_list(visitor: Visitor) -> None:
    answer = visitor.post(**{"wheel-diameter": "17", "wheel-sort": "price", "wheel-page": ["1", "1"]})
    assert answer.status_code == 302
    assert answer["Location"] == f"{visitor.url}?wheel-sort=price&wheel-diameter=17&open=wheels#list-wheel"
    assert visitor.spec.selection["front"]["wheel"] == WHEEL
    html = visitor.client.get(answer["Location"]).content.decode()
    listed = Wheel.objects.filter(item__code__in=offered(html)).exclude(item__code=WHEEL)
    assert {row.diameter_in for row in listed} == {17.0}
    # A link to the list itself leads there as well.
    assert visitor.client.get(f"{visitor.url}list/wheel/?wheel-page=1").status_code == 302


@pytest.mark.parametrize(
    "asked",
    [
        {"page": "99999"},
        {"page": "-1"},
        {"page": "٣"},
        {"diameter": "<b>"},
        {"design": "x" * 500},
        {"sort": "drop"},
        {"show": ""},
        {"most": "-5"},
    ],
)
def test_what_nobody_offered_still_shows_a_list(visitor: Visitor, asked: dict[str, str]) -> None:
    assert len(offered(ask(visitor, **asked))) > 2


def test_a_price_that_cannot_be_read_is_told_beside_it(visitor: Visitor) -> None:
    html = ask(visitor, most="cheap")
    assert 'id="id_wheel-most_error"' in html
    assert 'value="cheap"' in html


def test_unknown_lists_are_not_found(visitor: Visitor) -> None:
    for name in ("bolt", "wheel2", "front"):
        assert visitor.client.get(f"{visitor.url}list/{name}/").status_code == 404


@pytest.mark.long
def test_tyres_and_spacers_carry_verdict_and_price(visitor: Visitor) -> None:
    visitor.post()
    html = visitor.page()
    for name in ("tyre", "spacer"):
        found = html.split(f'id="list-{name}"', 1)[1].split("</fieldset>")[0]
        assert found.count('class="pill is-') >= 2
        assert found.count("</span> each") >= 2
    assert "two on each axle" in html


@pytest.mark.long
def test_the_list_judges_both_axles_where_they_are_fitted_alike(
    visitor: Visitor, demo_catalogue: Any
) -> None:
    """A wheel for all four is as good as its worse axle."""
    visitor.post()
    selection = Selection.model_validate(visitor.spec.selection)
    both = {row.code: row for row in listing.rows("wheel", selection, ("front", "rear"), demo_catalogue)}
    for position in ("front", "rear"):
        for row in listing.rows("wheel", selection, (position,), demo_catalogue):
            assert listing.RANK[both[row.code].verdict] >= listing.RANK[row.verdict]


@pytest.mark.parametrize(
    ("language", "typed", "means"),
    [
        ("en-gb", "250,5", "250.5"),
        ("en-gb", "250.50", "250.5"),
        ("en-gb", "1,250", "1250"),
        ("de", "250,50", "250.5"),
        ("de", "250.50", "250.5"),
        ("de", "1.250", "1250"),
    ],
)
def test_a_price_means_what_was_typed_whichever_mark_is_used(language: str, typed: str, means: str) -> None:
    with override(language):
        asked = ListForm("wheel", {"wheel-most": typed}, prefix="wheel").asked()
    assert asked.most == Decimal(means)
