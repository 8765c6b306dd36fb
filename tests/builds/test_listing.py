"""Lists: the page that was asked for, and counts that keep their word."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.builds.listing import PAGE, RANK, SHOWN, SORTS, Asked, Row, pick

FACETS = ("colour", "size")
row = st.builds(
    Row,
    code=st.text("abcdefgh", min_size=1, max_size=6),
    part=st.just("part"),
    verdict=st.sampled_from(sorted(RANK)),
    check=st.none(),
    price=st.integers(1, 9).map(Decimal),
    size=st.tuples(st.floats(1, 9)),
    facts=st.fixed_dictionaries({"colour": st.sampled_from("rgb"), "size": st.sampled_from("12")}),
)
rows = st.lists(row, max_size=60, unique_by=lambda r: r.code).map(tuple)
asked = st.builds(
    Asked,
    show=st.sampled_from(sorted(SHOWN)),
    sort=st.sampled_from(SORTS),
    facets=st.dictionaries(st.sampled_from(FACETS), st.sampled_from("rgb12x"), max_size=2).map(
        lambda found: tuple(found.items())
    ),
    most=st.none() | st.integers(0, 9).map(Decimal),
    page=st.integers(-2, 9),
)


@pytest.mark.long
@given(rows, asked)
def test_the_pages_together_are_all_that_was_asked_for(known: tuple[Row, ...], wanted: Asked) -> None:
    first = pick(known, wanted, FACETS)
    met = dict(first.asked.facets)
    expected = {
        r.code
        for r in known
        if (wanted.most is None or r.price <= wanted.most)
        and RANK[r.verdict] <= SHOWN[wanted.show]
        and all(r.facts[name] == value for name, value in met.items())
    }
    pages = [
        pick(known, Asked(wanted.show, wanted.sort, wanted.facets, wanted.most, page), FACETS)
        for page in range(1, first.pages + 1)
    ]
    codes = [r.code for page in pages for r in page.rows]
    assert len(codes) == len(set(codes)) == first.total
    assert set(codes) == expected
    assert all(len(page.rows) == PAGE for page in pages[:-1])
    assert 1 <= first.page <= first.pages
    assert first.counts[wanted.show] == first.total


@pytest.mark.long
@given(rows, asked)
def test_a_count_is_what_choosing_it_leaves(known: tuple[Row, ...], wanted: Asked) -> None:
    found = pick(known, wanted, FACETS)
    for name, values in found.facets.items():
        for value, count in values.items():
            facets = tuple((dict(found.asked.facets) | {name: value}).items())
            assert pick(known, Asked(wanted.show, "fit", facets, wanted.most), FACETS).total == count


@pytest.mark.long
@given(rows)
def test_orders(known: tuple[Row, ...]) -> None:
    prices = [r.price for r in pick(known, Asked("all", "price"), FACETS).rows]
    assert prices == sorted(prices)
    ranks = [RANK[r.verdict] for r in pick(known, Asked("all", "fit"), FACETS).rows]
    assert ranks == sorted(ranks)
    sizes = [r.size for r in pick(known, Asked("all", "large"), FACETS).rows]
    assert sizes == sorted(sizes, reverse=True)
