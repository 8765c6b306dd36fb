"""What a recipe itself asks of a painted part: its own hours, their place among the coats, and where."""

from configurator.builds import quoting
from configurator.builds.evaluate import evaluate
from configurator.builds.selection import Selection

from .builds import van

COATS = ("prime", "colour", "lacquer")


def sanded(steps):
    return [step for step in steps if "sanded flat" in step.name]


def test_a_primer_that_is_sanded_flat_takes_its_time_after_drying_and_before_the_colour(catalogue):
    """The recipe's 0.7 hours beside the coats' own were in no plan and on no price."""
    badges = ("badge-front-build", "badge-rear-build")
    selection = Selection(generation="haldor-2", accent="ember-orange", options=badges)
    evaluation = evaluate(selection, catalogue)
    assert not evaluation.problems
    steps = evaluation.work.steps
    place = {step.key: number for number, step in enumerate(steps)}
    own = sanded(steps)
    assert [step.hands_on_h for step in own] == [0.7] * len(own)
    prime, colour = (next(s for s in steps if s.paint and s.stage == name) for name in ("prime", "colour"))
    assert {step.resource for step in (prime, colour, *own)} == {"booth"}
    for step in own:
        assert prime.key in step.after
        assert step.key in colour.after
        assert place[prime.key] < place[step.key] < place[colour.key]
    assert evaluation.work.hands_on_h == round(sum(step.hands_on_h for step in steps), 2)
    assert quoting.total(selection, catalogue) == evaluation.price.total


def test_calipers_are_painted_where_the_vehicle_stands_without_wheels(catalogue):
    """Painted in place, on the lift: meanwhile nobody else has it, and nobody drives the vehicle out."""
    steps = evaluate(
        van(accent="ember-orange", options=("calipers-front", "badge-front")), catalogue
    ).work.steps
    coats = {step.resource for step in steps if step.stage in COATS and "calipers-front" in step.for_choices}
    assert coats == {"lift"}
    others = {step.resource for step in steps if step.stage in COATS and "badge-front" in step.for_choices}
    assert others == {"booth"}
