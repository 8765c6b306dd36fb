"""Catalogue lint: every kind of finding, with its reasons, and against trying every build."""

import random

from configurator.rules import Family, Finding, Problem, Rule, excludes, lint, needs

from .brute import Brute
from .instances import CASES, random_problem

BUMPER = Family("bumper", "one", ("standard", "sport"), name="Bumper")
EXTRAS = Family("extras", "any", ("splitter", "spoiler"))
GENERATION = Family("generation", "one", ("van I", "van II"))


def kinds(found):
    return {(finding.kind, finding.subject) for finding in found}


def test_a_sound_catalogue_has_no_findings():
    assert lint(Problem((BUMPER, EXTRAS), (needs("splitter", "sport", "Needs sport"),))) == []


def test_an_option_that_can_never_be_chosen_is_explained():
    rules = (
        needs("splitter", "sport", "Needs sport.", id="n"),
        excludes("splitter", "sport", "Never both.", id="x"),
    )
    assert lint(Problem((BUMPER, EXTRAS), rules)) == [
        Finding(
            "never_chosen",
            "splitter",
            rules=("n", "x"),
        )
    ]


def test_a_generation_without_a_valid_build_blocks():
    rules = (
        needs("van I", "sport", "The first van only takes sport.", id="first"),
        excludes("van I", "sport", "Sport does not fit the first van.", id="fit"),
    )
    facts = {"Van, first": ["van I"], "Van, second": ["van II"]}
    found = lint(Problem((GENERATION, BUMPER), rules), facts)
    assert found[0] == Finding(
        "no_valid_build",
        "Van, first",
        True,
        ("van I",),
        ("first", "fit"),
        "Van, first",
    )
    assert ("never_chosen", "van I") in kinds(found)
    assert [finding.kind for finding in found if finding.blocking] == ["no_valid_build"]


def test_an_option_possible_for_one_generation_is_possible():
    rules = (excludes("van I", "sport", "No sport for the first."),)
    assert lint(Problem((GENERATION, BUMPER), rules), {"1": ["van I"], "2": ["van II"]}) == []
    found = lint(Problem((GENERATION, BUMPER), rules), {"1": ["van I"]})
    assert kinds(found) == {
        ("never_chosen", "van II"),
        ("never_chosen", "sport"),
        ("one_possible_option", "generation"),
        ("one_possible_option", "bumper"),
    }
    sport = next(finding for finding in found if finding.subject == "sport")
    assert (sport.choices, sport.rules, sport.generation) == (("van I",), ("van I excludes sport",), "1")


def test_contradictions_block_whatever_is_chosen():
    found = lint(
        Problem((BUMPER,), (Rule("a", (), ("sport",), "Always."), Rule("b", ("sport",), (), "Never.")))
    )
    assert found == [Finding("no_valid_build", "", True, (), ("a", "b"))]


def test_rules_that_never_matter_name_those_that_imply_them():
    rules = (
        needs("splitter", "sport", "Needs sport.", id="n"),
        excludes("splitter", "standard", "Not with standard.", id="x"),
        Rule("same", ("sport",), ("sport", "spoiler"), "Says nothing."),
        Rule("family", ("standard", "sport"), ("spoiler",), "Never together."),
    )
    found = {finding.subject: finding.rules for finding in lint(Problem((BUMPER, EXTRAS), rules))}
    assert found == {"n": ("x",), "x": ("n",), "same": (), "family": ()}


def test_unknown_options_block_and_the_rest_is_still_checked():
    rules = (
        needs("splitter", "carbon", "Needs carbon.", id="u"),
        excludes("sport", "sport", "Never.", id="s"),
    )
    found = lint(Problem((BUMPER, EXTRAS), rules), {"Van": ["tailgate"]})
    assert found == [
        Finding("unknown_option", "u", True, ("carbon",)),
        Finding("unknown_option", "Van", True, ("tailgate",), generation="Van"),
        Finding("never_chosen", "sport", rules=("s",), generation=""),
        Finding("one_possible_option", "bumper", choices=("standard",)),
    ]


def test_malformed_families_block():
    unknown = needs("carbon", "sport", "Unknown.", id="u")
    found = lint(Problem((BUMPER, Family("bumper", "at_most", ("sport",))), (unknown,)))
    assert found.pop(0) == Finding("unknown_option", "u", True, ("carbon",))
    assert "An 'at_most' family needs a limit." in [f.detail for f in found]
    assert {(f.kind, f.subject, f.blocking) for f in found} == {
        ("malformed", "families[1].id", True),
        ("malformed", "families[1].limit", True),
        ("malformed", "families[1].options[0]", True),
    }


def test_findings_equal_trying_every_build():
    rng = random.Random(9)
    for _ in range(CASES):
        problem = random_problem(rng, most=10, rules=8)
        brute = Brute(problem)
        found = lint(problem)
        valid = brute.consistent([])
        assert any(finding.blocking for finding in found) is not valid
        if not valid:
            continue
        dead = {finding.subject for finding in found if finding.kind == "never_chosen"}
        assert dead == set(brute.names) - set(brute.open([]))
        for finding in found:
            if finding.kind == "never_chosen":
                assert brute.contradicts({finding.subject}, finding.rules)
        idle = {finding.subject: finding.rules for finding in found if finding.kind == "never_matters"}
        for rule in brute.rule_ids:
            others = [other for other in brute.rule_ids if other != rule]
            implied = not (brute._all(others) & ~brute.holds[rule]).any()
            assert implied == (rule in idle), (problem, rule)
            if implied:
                check_minimal_implication(brute, rule, idle[rule])


def check_minimal_implication(brute, rule, by):
    assert not (brute._all(by) & ~brute.holds[rule]).any()
    for left_out in by:
        rest = [other for other in by if other != left_out]
        assert (brute._all(rest) & ~brute.holds[rule]).any()


def test_what_implies_a_rule_is_told_without_what_is_not_needed():
    """With the roof rack comes the ladder; of four things two fit, so nothing else does, and the ladder asks
    for a box or an awning: no rack at all. That rack and awning never go together does not matter to it."""
    roof = Family("roof", "at_most", ("awning", "rack", "ladder", "box"), 2)
    rules = (
        Rule("pair", ("rack", "awning"), (), "Never both."),
        Rule("ladder", ("!box", "ladder"), ("awning", "box"), "A ladder needs company."),
        Rule("rack", ("rack",), ("ladder",), "A rack needs a ladder."),
        Rule("awning", ("awning",), ("!awning",), "No awning."),
        Rule("none", ("rack",), (), "No rack."),
    )
    found = {one.subject: one.rules for one in lint(Problem((roof,), rules)) if one.kind == "never_matters"}
    assert found["none"] == ("ladder", "rack")


def test_where_no_generation_has_a_valid_build_its_options_are_not_told_as_well():
    rules = (Rule("never", ("van I",), (), "The first van is not built any more."),)
    found = lint(Problem((GENERATION, BUMPER), rules), {"Van, first": ["van I"]})
    assert [(one.kind, one.subject) for one in found] == [("no_valid_build", "Van, first")]
