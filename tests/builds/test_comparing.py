"""One comparison of two evaluations, as values."""

from __future__ import annotations

from decimal import Decimal

from configurator.builds import comparing
from configurator.builds.comparing import Difference, compare
from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation

from .builds import BLACK_18, SILVER_18, SPACER_15, VAN_TYRE_18, axles, van


def test_the_same_build_twice_differs_in_nothing(catalogue):
    one = evaluate(van(**axles(wheel=BLACK_18, tyre=VAN_TYRE_18)), catalogue)
    assert compare(one, one) == []
    assert compare(one, Evaluation.model_validate(one.model_dump(mode="json"))) == []


def test_choices_are_told_once_for_both_axles_and_without_the_axles_name(catalogue):
    before = evaluate(van(**axles(wheel=BLACK_18, tyre=VAN_TYRE_18)), catalogue)
    after = evaluate(van(**axles(wheel=SILVER_18, tyre=VAN_TYRE_18, spacer=SPACER_15)), catalogue)
    found = comparing.choices(compare(before, after))
    wheels = next(row for row in found if row.what == "wheel")
    assert wheels == Difference(
        "wheel", str(catalogue.wheels[BLACK_18]), str(catalogue.wheels[SILVER_18]), "both"
    )
    spacers = next(row for row in found if row.what == "spacer")
    assert (spacers.before, spacers.place) == (None, "both")
    assert len(found) == 2


def test_one_axle_alone_is_told_for_that_axle(catalogue):
    alike = axles(wheel=BLACK_18, tyre=VAN_TYRE_18)
    after = {**alike, "rear": {**alike["rear"], "spacer": SPACER_15}}
    found = comparing.choices(compare(evaluate(van(**alike), catalogue), evaluate(van(**after), catalogue)))
    assert [(row.what, row.place) for row in found] == [("spacer", "rear")]


def test_turning_the_two_around_turns_every_row_around(catalogue):
    before = evaluate(van(options=("calipers-front",), accent="ember-orange"), catalogue)
    after = evaluate(van(**axles(wheel=BLACK_18, tyre=VAN_TYRE_18)), catalogue)
    there = {(r.what, r.place, r.subject): (r.before, r.after) for r in compare(before, after)}
    back = {(r.what, r.place, r.subject): (r.after, r.before) for r in compare(after, before)}
    assert there == back


def test_sums_are_amounts_and_time_is_days(catalogue):
    before, after = (
        evaluate(van(options=o, accent="ember-orange"), catalogue) for o in ((), ("calipers-front",))
    )
    rows = {row.what: row for row in compare(before, after)}
    assert rows["total"].after == after.price.total
    assert isinstance(rows["total"].after, Decimal)
    assert rows["days"].after == after.work.bay_days
    assert rows["option"] == Difference("option", None, after.names["calipers-front"], "", "calipers-front")
