"""Bare figures on pages and papers: short, plain, and in the reader's decimal sign."""

from decimal import Decimal

import pytest
from django.template import Context, Template
from django.utils import translation

from configurator.pages.told import figure, number, signed


@pytest.mark.parametrize(
    ("value", "english", "german"),
    [
        (1250.0, "1250", "1250"),
        (2.5, "2.5", "2,5"),
        (0.05, "0.05", "0,05"),
        (0.1 + 0.2, "0.3", "0,3"),
        (-0.75, "−0.75", "−0,75"),
        (-0.0, "0", "0"),
        (1_234_567.0, "1234570", "1234570"),
        (0.00001, "0.00001", "0,00001"),
        (Decimal("19.00"), "19", "19"),
        (Decimal("7.50"), "7.5", "7,5"),
        (Decimal(100), "100", "100"),
        (180, "180", "180"),
        ("slip-on", "slip-on", "slip-on"),
        (None, "", ""),
    ],
)
def test_a_number_is_short_and_plain_in_each_language(value: object, english: str, german: str) -> None:
    with translation.override("en-gb"):
        assert number(value) == english
    with translation.override("de"):
        assert number(value) == german


@pytest.mark.parametrize(
    ("value", "english", "german"),
    [(1.25, "+1.2", "+1,2"), (-3.0, "−3", "−3"), (4.8, "+4.8", "+4,8"), (0.04, "0", "0"), (None, "", "")],
)
def test_a_margin_says_its_sign_and_nothing_has_none(value: float | None, english: str, german: str) -> None:
    with translation.override("en-gb"):
        assert signed(value) == english
    with translation.override("de"):
        assert signed(value) == german


def test_the_workshops_pages_write_figures_the_same_way() -> None:
    page = Template("{% load job_words %}{{ torque|figure }} {{ margin|signed }}")
    with translation.override("de"):
        assert page.render(Context({"torque": 122.5, "margin": -0.5})) == "122,5 −0,5"


@pytest.mark.parametrize(
    ("value", "english", "german"),
    [
        (42_857.1, "42.9\u00a0kN", "42,9\u00a0kN"),
        (-640.0, "−0.6\u00a0kN", "−0,6\u00a0kN"),
        (0.0, "0\u00a0kN", "0\u00a0kN"),
    ],
)
def test_a_joint_s_force_has_no_more_digits_than_are_known(value: float, english: str, german: str) -> None:
    with translation.override("en-gb"):
        assert figure(value, "N") == english
    with translation.override("de"):
        assert figure(value, "N") == german
