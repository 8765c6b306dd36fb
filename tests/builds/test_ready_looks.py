"""Ready-made looks: judged, taken, given back, and not offered when they no longer stand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from configurator.builds import ready_looks, service
from configurator.builds.evaluate import evaluate
from configurator.builds.models import Spec
from configurator.builds.ready_looks import UnknownLookError, judged, put_back, put_on, taken
from configurator.builds.selection import AxleSelection, Selection
from configurator.builds.service import AlreadySentError
from configurator.catalogue.models import Option
from configurator.catalogue.snapshot import Catalogue

FIRST, DARK = "haldor-first-light", "haldor-after-dark"
OWN = Selection(
    generation="haldor-2",
    body_finish="tarnside-green",
    accent="fjord-teal",
    options=("sport-bumper", "door-handles", "haldor-mirror-caps"),
    finishes={"haldor-mirror-caps": "accent"},
)


@pytest.mark.long
def test_every_look_of_the_demonstration_stands_and_three_vehicles_have_some(catalogue: Catalogue) -> None:
    assert ready_looks.fallen(catalogue) == []
    assert len({one.generation.code for one in catalogue.looks.values()}) >= 3
    for look in catalogue.looks.values():
        assert catalogue.texts.of(_text(look, "name"), "de")
        assert catalogue.texts.of(_text(look, "summary"), "de")


def _text(look: Any, name: str) -> Any:
    from configurator.catalogue.texts import Text

    return Text("looks", look.code, name, str(getattr(look, name)))


def test_a_look_is_what_it_chooses_and_a_selection_makes_the_same_row_again(catalogue: Catalogue) -> None:
    for look in catalogue.looks.values():
        chosen = ready_looks.chosen_by(look)
        fields = ready_looks.fields_of(chosen, catalogue)
        assert fields.pop("generation") == look.generation.code
        assert sorted(fields.pop("options")) == sorted(look.options)
        assert fields == {name: getattr(look, name) for name in fields}


def test_facts_and_the_colour_of_the_vehicle_stay_and_all_else_is_the_looks(catalogue: Catalogue) -> None:
    look = catalogue.looks[FIRST]
    after = taken(look, OWN, catalogue)
    facts = {code for code in after.options if catalogue.options[code].kind == Option.Kind.FACT}
    assert facts == {"sport-bumper"}
    assert after.body_finish == "tarnside-green"
    assert set(after.options) - facts == set(look.options)
    assert (after.accent, after.finishes) == ("ember-orange", {})
    assert after.front == AxleSelection(wheel=look.front_wheel, tyre=look.front_tyre)
    assert taken(look, after, catalogue) == after


def test_what_a_card_says_is_what_taking_it_comes_to(catalogue: Catalogue) -> None:
    for look in catalogue.looks.values():
        plain = Selection(generation=look.generation.code, body_finish=ready_looks.shown_in(look, catalogue))
        shown = judged(look, plain, catalogue).evaluation
        came = evaluate(taken(look, plain, catalogue), catalogue)
        assert shown.price is not None
        assert shown.price == came.price
        assert came.sendable


def test_a_look_that_a_stated_fact_rules_out_is_not_offered_for_that_vehicle(catalogue: Catalogue) -> None:
    # After dark has the splitter for the standard bumper.
    sport = Selection(generation="haldor-2", options=("sport-bumper",))
    assert DARK in [one.look.code for one in ready_looks.offered("haldor-2", catalogue)]
    assert DARK not in [one.look.code for one in ready_looks.offered("haldor-2", catalogue, sport)]
    assert judged(catalogue.looks[DARK], sport, catalogue).reasons


@pytest.mark.parametrize("gone", ["wheels", "options"])
def test_what_is_retired_takes_its_looks_along_and_says_why(catalogue: Catalogue, gone: str) -> None:
    look = catalogue.looks[DARK]
    code = look.front_wheel if gone == "wheels" else look.options[0]
    rows = {name: row for name, row in getattr(catalogue, gone).items() if name != code}
    other = replace(catalogue, digest=f"without {code}", **{gone: rows})
    fallen = ready_looks.fallen(other)
    assert DARK in [one.look.code for one in fallen]
    assert all(one.reasons for one in fallen)
    with pytest.raises(UnknownLookError):
        ready_looks.find(DARK, "haldor-2", other)


def _spec(selection: Selection = OWN) -> Spec:
    return Spec.objects.create(selection=selection.model_dump(mode="json"), catalogue_version=1)


def test_taken_given_back_and_taken_again(demo_catalogue: Catalogue) -> None:
    spec = _spec()
    after = put_on(spec_id=spec.pk, code=FIRST)
    assert after.selection.accent == "ember-orange"
    put_back(spec_id=spec.pk)
    spec.refresh_from_db()
    assert Selection.model_validate(spec.selection) == OWN
    put_back(spec_id=spec.pk)  # the same button, pressed again
    spec.refresh_from_db()
    assert Selection.model_validate(spec.selection) == after.selection


def test_taking_it_twice_keeps_what_stood_before_the_first(demo_catalogue: Catalogue) -> None:
    spec = _spec()
    put_on(spec_id=spec.pk, code=FIRST)
    put_on(spec_id=spec.pk, code=FIRST)
    put_back(spec_id=spec.pk)
    spec.refresh_from_db()
    assert Selection.model_validate(spec.selection) == OWN


def test_a_fact_stated_since_stays_stated_when_choices_come_back(demo_catalogue: Catalogue) -> None:
    spec = _spec(OWN.model_copy(update={"options": ("door-handles",), "finishes": {}}))
    now = put_on(spec_id=spec.pk, code=FIRST).selection
    now = now.model_copy(update={"options": (*now.options, "tow-bar-fitted"), "body_finish": "quay-blue"})
    back = put_back(spec_id=spec.pk, selection=now).selection
    assert back.options == ("door-handles", "tow-bar-fitted")
    assert back.body_finish == "quay-blue"


def test_what_cannot_be_taken(demo_catalogue: Catalogue) -> None:
    spec = _spec()
    for code in ("no-such-look", "ambry-copper", "\x00"):
        with pytest.raises(UnknownLookError):
            put_on(spec_id=spec.pk, code=code)
    spec.refresh_from_db()
    assert spec.before_look is None
    service.save_build(spec_id=spec.pk, selection=OWN)
    spec.refresh_from_db()
    spec.sent_at = spec.made_at
    spec.save()
    with pytest.raises(AlreadySentError):
        put_on(spec_id=spec.pk, code=FIRST)
    with pytest.raises(AlreadySentError):
        put_back(spec_id=spec.pk)


def test_putting_back_where_no_look_was_taken_changes_nothing(demo_catalogue: Catalogue) -> None:
    spec = _spec()
    assert put_back(spec_id=spec.pk).selection == OWN


def test_a_build_stays_just_the_look_when_a_page_states_the_usual_finishes(catalogue: Catalogue) -> None:
    look = catalogue.looks[DARK]
    after = taken(look, Selection(generation="haldor-2"), catalogue)
    usual = {
        code: row.finish_choices[0]
        for code in after.options
        if (row := catalogue.options[code]).finish_choices
    }
    assert usual
    assert ready_looks.is_on(look, after.model_copy(update={"finishes": usual}), catalogue)
    painted = next(code for code in usual if len(catalogue.options[code].finish_choices) > 1)
    other = {painted: catalogue.options[painted].finish_choices[1]}
    assert not ready_looks.is_on(look, after.model_copy(update={"finishes": other}), catalogue)
    assert not ready_looks.is_on(look, after.model_copy(update={"options": ()}), catalogue)
