"""What is refused is refused beside its field, in the rule's own words, with the way out."""

from __future__ import annotations

import pytest

from configurator.builds.evaluate import evaluate
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot, versions
from configurator.models import Rule

from .builds import BLACK_18, SILVER_18, SPACER_15, VAN_TYRE_18, axles, van


@pytest.mark.parametrize(
    ("selection", "field"),
    [
        (Selection(generation="unheard-of"), "generation"),
        (van(options=("no-such-option",)), "options"),
        (van(options=("vireo-grille",)), "options"),
        (van(**axles(wheel="no-such-wheel")), "front.wheel"),
        (van(**axles(tyre="lean-120-70r17-58w")), "front.tyre"),
        (Selection(generation="whinchat-680", front={"spacer": SPACER_15}), "front.spacer"),
        (van(options=("badge-front",)), "accent"),
        (van(accent="gloss-black"), "accent"),
        (van(finishes={"haldor-splitter-l1": "body"}), "finishes.haldor-splitter-l1"),
        (
            van(options=("haldor-splitter-l1",), finishes={"haldor-splitter-l1": "silver"}),
            "finishes.haldor-splitter-l1",
        ),
        (Selection(generation="haldor-2", body_finish="weir-teal"), "body_finish"),
        (
            Selection(generation="haldor-2", options=("standard-bumper", "haldor-skirts")),
            "body_finish",
        ),
    ],
)
def test_bad_choice_is_named_by_its_field(selection, field, catalogue):
    evaluation = evaluate(selection, catalogue)
    assert field in [problem.field for problem in evaluation.problems]
    assert not evaluation.sendable


def test_another_circles_wheel_does_not_fit_and_says_why(catalogue):
    chosen = van(**axles(wheel="torvik-8x18-5x120-et50-silver", tyre=VAN_TYRE_18))
    evaluation = evaluate(chosen, catalogue)
    assert evaluation.verdict == "no"
    assert evaluation.fits["front"].headline.startswith("Does not fit")
    assert not evaluation.sendable


def test_rules_are_told_in_their_own_words_with_a_change(catalogue):
    chosen = Selection(
        generation="haldor-2", body_finish="quay-blue", options=("standard-bumper", "haldor-splitter-l2")
    )
    conflict = evaluate(chosen, catalogue).conflicts[0]
    assert conflict.choice_names == ("Standard bumper", "Lower splitter L2")
    assert conflict.reasons == (
        "Lower splitter L2 needs the sport bumper: it is screwed to its deeper edge.",
    )
    assert conflict.change.drop == ("haldor-splitter-l2",)


def test_closed_option_names_the_change_that_opens_it(catalogue):
    state = evaluate(van(), catalogue).options["haldor-splitter-l2"]
    assert state.state == "closed"
    assert "sport bumper" in state.reasons[0]


def test_present_choice_of_its_own_family_is_no_reason_against_an_option(catalogue):
    """The middle splitter would replace the lower one; what stands against that is the bumper."""
    state = evaluate(van(options=("haldor-splitter-l1",)), catalogue).options["haldor-splitter-l2"]
    assert state.state == "closed"
    assert state.reasons == ("Lower splitter L2 needs the sport bumper: it is screwed to its deeper edge.",)
    assert state.change is None, "no change may ask for another bumper than the vehicle has"


def test_a_fact_of_the_vehicle_is_not_closed_by_a_later_wish(catalogue):
    """The sport bumper stays open beside a splitter for the other; once it is said, the splitter goes."""
    wish = "haldor-splitter-l1"
    assert evaluate(van(options=(wish,)), catalogue).options["sport-bumper"].state == "open"
    stated = Selection(generation="haldor-2", body_finish="quay-blue", options=("sport-bumper", wish))
    (conflict,) = evaluate(stated, catalogue).conflicts
    assert (conflict.change.drop, conflict.change.add) == ((wish,), ())


@pytest.mark.django_db
def test_no_change_says_that_the_vehicle_has_what_it_has_not(demo_catalogue):
    """A rule that only a fact could meet is met by giving up the wish; by facts alone, not at all."""
    Rule.objects.create(
        code="seal-needs-rails",
        kind="needs",
        if_all=["paint-seal"],
        then_any=["tow-bar-fitted"],
        reason="Why.",
    )
    Rule.objects.create(
        code="rails-need-tow", kind="needs", if_all=["front-radar"], then_any=["tow-bar-fitted"], reason="So."
    )
    versions.bump(note="test")
    now = snapshot.current()
    (wish,) = evaluate(van(options=("paint-seal",)), now).conflicts
    assert (wish.change.drop, wish.change.add) == (("paint-seal",), ())
    (fact,) = evaluate(van(options=("front-radar",)), now).conflicts
    assert fact.change is None
    assert not evaluate(van(options=("paint-seal", "tow-bar-fitted")), now).conflicts


def test_rule_met_by_both_axles_is_told_once(catalogue):
    wheels = axles(wheel="ristel-9x20-6x1397-et25-gloss-black", tyre="trail-265-50r20-111t")
    found = evaluate(Selection(generation="skarn-3", options=("standard-bumper",), **wheels), catalogue)
    assert len(found.conflicts) == 1
    assert [choice.split(":")[0] for choice in found.conflicts[0].choices] == ["front-wheel", "rear-wheel"]
    assert found.conflicts[0].change.add == ("skarn-arch-trims",)


@pytest.mark.django_db
def test_wheel_closed_by_a_rule_says_so_beside_its_fit(demo_catalogue):
    reason = "Black wheels are not lent out with the honeycomb grille."
    condition = ["haldor-grille", "tag:front-wheel-black"]
    Rule.objects.create(code="test-black", kind="excludes", if_all=condition, reason=reason)
    versions.bump(note="a rule about wheels")
    found = evaluate(van(options=("haldor-grille",)), snapshot.current())
    state = found.options[f"front-wheel:{BLACK_18}"]
    assert (state.state, state.reasons) == ("closed", (reason,))
    assert f"front-wheel:{SILVER_18}" not in found.options
