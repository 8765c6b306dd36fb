"""How much faster the rule engine is than asking once per option and than a general solver. Run:

pytest -m benchmark -n0 -s tests/benchmarks/rules

Four shapes of rule set at 300 options, three of them at 3,000; the fourth is the demonstration catalogue's
largest generation. The table of growth comes from `python -m tests.benchmarks.rules.bench`.
"""

import pytest

from configurator.catalogue import ruleset

from .bench import CHOICES, Measured, hopeless, measure
from .rule_sets import SHAPES, RuleSet, from_problem, rule_set

pytestmark = pytest.mark.benchmark


def show(found: Measured, capsys) -> None:
    with capsys.disabled():
        print("", *found.rows(), sep="\n")


@pytest.mark.parametrize("shape", SHAPES)
def test_at_300_options(shape, capsys):
    found = measure([rule_set(shape, seed=seed) for seed in range(4)], selections=8, cp_sat=2)
    show(found, capsys)
    assert found.once.median > found.engine.median
    assert found.cp_sat.median > 100 * found.engine.median


@pytest.mark.parametrize("shape", SHAPES)
def test_at_3000_options(shape, capsys):
    found = measure([rule_set(shape, 3000, 400, 4000)], selections=3)
    show(found, capsys)
    assert found.once.median > 3 * found.engine.median


@pytest.mark.parametrize("shape", SHAPES)
def test_hopeless_selections(shape, capsys):
    rows = hopeless(shape)
    with capsys.disabled():
        print("", *rows, sep="\n")
    assert len(rows) == 3


def catalogue_rules(catalogue) -> RuleSet:
    """Return the largest rule set among the catalogue's generations, with builds made by picking."""
    rulesets = [ruleset.build(catalogue, generation) for generation in catalogue.generations.values()]
    largest = max(rulesets, key=lambda found: len(found.engine.problem.options))
    return from_problem("the demonstration catalogue", largest.engine.problem, largest.engine)


@pytest.mark.django_db
def test_the_demonstration_catalogue(demo_catalogue, capsys):
    rules = catalogue_rules(demo_catalogue)
    assert min(len(build) for build in rules.builds) >= CHOICES
    found = measure([rules], selections=20, cp_sat=2)
    show(found, capsys)
    assert found.once.median > found.engine.median
    assert found.cp_sat.median > 100 * found.engine.median
